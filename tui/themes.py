"""Two themes of our own: dark on light for the sun, which is the default, and light on dark.

Every colour that carries text keeps a contrast of 7:1 or more against every ground it may stand on.
"""

from __future__ import annotations

from textual.theme import Theme


def _theme(name: str, dark: bool, ink: str, paper: str, panel: str, tones: dict[str, str], chosen: str) -> Theme:
    """A theme of ink on paper; ``chosen`` is the ground under the chosen line, which also turns bold."""
    return Theme(
        name=name,
        dark=dark,
        foreground=ink,
        background=paper,
        surface=paper,
        panel=panel,
        boost=panel,
        text_alpha=1.0,
        primary=tones["primary"],
        secondary=tones["secondary"],
        accent=tones["accent"],
        warning=tones["warning"],
        error=tones["error"],
        success=tones["success"],
        variables={
            "text": ink,
            "text-muted": ink,
            "text-disabled": ink,
            "foreground-muted": ink,
            "foreground-disabled": ink,
            "border": tones["primary"],
            "border-blurred": ink,
            "block-cursor-foreground": ink,
            "block-cursor-background": chosen,
            "block-cursor-blurred-foreground": ink,
            "block-cursor-blurred-background": chosen,
            "block-cursor-blurred-text-style": "bold",
            "block-hover-background": panel,
            "footer-foreground": ink,
            "footer-background": panel,
            "footer-key-foreground": ink,
            "footer-key-background": chosen,
            "footer-description-foreground": ink,
            "footer-description-background": panel,
            "footer-item-background": panel,
            "input-cursor-background": ink,
            "input-cursor-foreground": paper,
            "input-selection-background": chosen,
            "input-selection-foreground": ink,
            "scrollbar": tones["primary"],
            "scrollbar-hover": tones["primary"],
            "scrollbar-active": tones["primary"],
            "scrollbar-background": panel,
            "scrollbar-background-hover": panel,
            "scrollbar-background-active": panel,
            "scrollbar-corner-color": panel,
        },
    )


SUN = _theme(
    "sun",
    dark=False,
    ink="#0a0a0a",
    paper="#ffffff",
    panel="#f0efe9",
    tones={
        "primary": "#1f3a2d",
        "secondary": "#2f3554",
        "accent": "#4a2f57",
        "warning": "#5c3500",
        "error": "#7a1010",
        "success": "#1f4a1f",
    },
    chosen="#dcd8c6",
)
DUSK = _theme(
    "dusk",
    dark=True,
    ink="#f7f5ee",
    paper="#12130f",
    panel="#1f211b",
    tones={
        "primary": "#c9dcc2",
        "secondary": "#c8cdea",
        "accent": "#e2c9ee",
        "warning": "#f6d79b",
        "error": "#ffc2b8",
        "success": "#bfe6b5",
    },
    chosen="#3a3d31",
)
THEMES = (SUN, DUSK)
