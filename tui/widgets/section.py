"""A part of a form that folds: its head says how much in it is still open."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Any, ClassVar

from arclore.tui.form.fields import Field, Path
from arclore.tui.widgets.field_box import FieldBox
from arclore.tui.widgets.text import plain
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.widget import Widget
from textual.widgets import Static


class Head(Static, can_focus=True):
    """The line of a folded part; Enter, Space or a click opens and closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space", "fold", "open or close", show=False),
        Binding("down", "step(1)", "next", show=False),
        Binding("up", "step(-1)", "before", show=False),
    ]

    async def action_fold(self) -> None:
        """Open the part and go into it, or close it."""
        section = self.parent
        assert isinstance(section, Section)
        await section.fold(not section.open)
        if section.open:
            section.first_open()

    def action_step(self, by: int) -> None:
        """Go to what can be focused after or before."""
        if by > 0:
            self.screen.focus_next()
        else:
            self.screen.focus_previous()

    async def on_click(self, event: events.Click) -> None:
        event.stop()
        await self.action_fold()


class Section(Vertical):
    """Fields under one head, made when it is first opened; ``value`` gives what stands in a field."""

    def __init__(self, title: str, fields: Sequence[Field], value: Callable[[Field], Any]) -> None:
        super().__init__(classes="section")
        self.title = title
        self.fields = fields
        self.boxes = {field.path: FieldBox(field, value(field)) for field in fields}
        self.open = False
        self._hidden: frozenset[str] = frozenset()

    def compose(self) -> ComposeResult:
        yield Head()
        yield Vertical(classes="fields")

    def _lines(self) -> Iterator[Widget]:
        """The boxes, and a line before those of a group."""
        group = self.title
        for field in self.fields:
            alone = sum(each.group == field.group for each in self.fields) == 1
            if field.group not in ("", group) and not alone:
                yield Static(plain(field.group.capitalize(), "underline"), classes="group", name=field.group)
            group = field.group or self.title
            yield self.boxes[field.path]

    def hide(self, names: frozenset[str]) -> None:
        """Show all fields but those of these top names, and the names of groups in which a field is shown."""
        for path, box in self.boxes.items():
            box.display = path[0] not in names
        self._hidden = names
        shown = {box.field.group for box in self.boxes.values() if box.display}
        for group in self.query(".group"):
            group.display = group.name in shown

    async def on_mount(self) -> None:
        await self.fold(False)

    async def fold(self, open_it: bool) -> None:
        """Open or close it."""
        self.open = open_it
        inside = self.query_one(".fields")
        inside.display = open_it
        if open_it and not inside.children:
            await inside.mount(*self._lines())
            self.hide(self._hidden)
        self.tell()

    def tell(self) -> None:
        """Say in the head how much is open."""
        marks = [box.mark for box in self.boxes.values() if box.display]
        counted = {"to fill in": marks.count("fill"), "to mend": marks.count("wrong")}
        told = ", ".join(f"{count} {what}" for what, count in counted.items() if count)
        told = told or ("done" if "done" in marks else "")
        sign = "-" if self.open else "+"
        self.query_one(Head).update(plain(f"{sign} {self.title.capitalize()}" + (f": {told}" if told else ""), "bold"))

    def first_open(self) -> None:
        """Go to the first field that is to be filled in or mended, or to the first one."""
        shown = [box for box in self.boxes.values() if box.display]
        (next((box for box in shown if box.mark in ("fill", "wrong")), None) or shown[0]).to_focus()

    def holds(self, path: Path) -> bool:
        return path in self.boxes
