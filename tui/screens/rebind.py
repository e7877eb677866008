"""Keys of one's own: choose a deed, press the key that it shall have."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import ClassVar

from arclore.tui.keys import LESSON, REBIND
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.widgets.choices import KEYS
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

KEPT = (*KEYS, "0", "n", "y", "q", "up", "down", "enter", "escape", "tab", "shift+tab", "ctrl+c", "ctrl+p", "ctrl+q")
"""Keys that answer or leave everywhere, and so are nobody's own."""


class RebindScreen(Sheet):
    """The deeds of a lesson with their keys. ``changed`` is handed the new keys."""

    DEEDS = REBIND
    HELP_TEXT = "Up and down choose a line, Enter then a key gives it that key, x puts all keys back."
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("rebind") for deed in REBIND]

    def __init__(self, keys: Mapping[str, str], changed: Callable[[Mapping[str, str]], None]) -> None:
        super().__init__()
        self.keys = dict(keys)
        self.changed = changed
        self.waiting = ""  # the id of the deed whose new key is awaited

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Vertical(classes="sheet", id="rebind"):
            yield Static(id="rebind-says")
            yield OptionList(id="deeds")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.show_all("Enter, then the key that the marked line shall have; x puts all keys back.")
        self.query_one("#deeds").focus()

    def show_all(self, says: str) -> None:
        """Every deed with its key, and one line over them."""
        self.query_one("#rebind-says", Static).update(lines(heading("Keys of your own"), plain(says, "bold")))
        listed = self.query_one("#deeds", OptionList)
        place = listed.highlighted or 0
        listed.clear_options()
        listed.add_options([Option(plain(f"{self._key(name):<12} {about}"), id=name) for name, about in _deeds()])
        listed.highlighted = place

    def _key(self, name: str) -> str:
        own = {deed.binding().id: deed.spoken or deed.keys for deed in LESSON}
        return self.keys.get(name) or own[name]

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.waiting = event.option_id or ""
        self.show_all(f"Now press the new key for: {dict(_deeds())[self.waiting]} (Esc leaves it as it is).")

    def on_key(self, event: events.Key) -> None:
        """While a key is awaited, every key is that key; but the list has eaten those that move it."""
        if self.waiting:
            event.stop()
            event.prevent_default()
            self.take(event.key)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        return not self.waiting and super().check_action(action, parameters)

    def take(self, key: str) -> None:
        """Give the deed this key, unless it is another's."""
        name, self.waiting = self.waiting, ""
        if key == "escape":
            self.show_all("It stays as it is.")
        elif taken := self._taken(key, name):
            self.show_all(f"{key} is taken: {taken}. Choose again.")
        else:
            self.keys[name] = key
            self.changed(dict(self.keys))
            self.show_all(f"{key}: {dict(_deeds())[name]}.")

    def _taken(self, key: str, name: str) -> str:
        if key in KEPT:
            return "it answers or leaves everywhere"
        for deed in LESSON:
            other = deed.binding().id
            if other != name and other is not None and key in (self.keys.get(other) or deed.keys).split(","):
                return deed.about
        return ""

    def action_reset(self) -> None:
        """All keys as they come."""
        self.keys = {}
        self.changed({})
        self.show_all("All keys are as they came.")


def _deeds() -> list[tuple[str, str]]:
    """The deeds whose keys can be changed: id of the binding, and what it does."""
    found = [(deed.binding().id, deed.about) for deed in LESSON if not set(deed.keys.split(",")) & set(KEPT)]
    return [(name, about) for name, about in found if name is not None]
