"""Pictures of a swing, a strike and a flight: scenes in metres, drawn in the terminal or as SVG."""
