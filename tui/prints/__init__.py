"""A library on paper: its drills and checks for the wall and for the pocket, as HTML and as PDF."""
