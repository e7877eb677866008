"""The keys at the foot of a screen, made anew only where they change: a finger on them is not lost in the making."""

from __future__ import annotations

from textual.screen import Screen
from textual.widgets import Footer

Shown = tuple[tuple[str, str, str, bool], ...]


class SteadyFooter(Footer):
    """Shows the keys of the screen and of what has the focus; the command palette has a line of help instead."""

    def __init__(self) -> None:
        super().__init__(show_command_palette=False)
        self._shown: Shown | None = None

    def bindings_changed(self, screen: Screen[object]) -> None:
        shown = self._keys(screen)
        if shown != self._shown:
            if self.is_attached and screen is self.screen and screen.app.app_focus:
                self._shown = shown
            super().bindings_changed(screen)

    def _keys(self, screen: Screen[object]) -> Shown:
        active = screen.active_bindings.values()
        return tuple(
            (binding.action, self.app.get_key_display(binding), binding.description, enabled)
            for _, binding, enabled, _ in active
            if binding.show
        )
