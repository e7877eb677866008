"""Rows of a field, such as the results of a check or what a cause moves: listed, and each filled in by itself."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar

from arclore.tui.form.checking import in_row, missing_in_row
from arclore.tui.form.choices import row_words, shown
from arclore.tui.form.fields import Field, found, put
from arclore.tui.keys import ROW, ROWS
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.widgets.field_box import About, FieldBox
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

if TYPE_CHECKING:
    from arclore.tui.screens.entry_form import FormScreen

ADD = "add one"


class RowsScreen(Sheet):
    """Lists the rows; Enter opens one, or adds one at the end."""

    DEEDS = ROWS
    HELP_TEXT = "Enter opens the marked line, or adds one at the end; Del removes it; Esc goes back to the form."
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("rows") for deed in ROWS]

    def __init__(self, form: FormScreen, field: Field) -> None:
        super().__init__()
        self.form = form
        self.field = field

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The rows as they stand in the draft."""
        return list(found(self.form.draft.entry, self.field.path) or ())

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Vertical(classes="sheet", id="rows"):
            yield Static(lines(heading(self.field.label.capitalize()), self.field.about))
            yield OptionList(id="row-list")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.fill()

    def on_screen_resume(self) -> None:
        self.fill()

    def fill(self) -> None:
        """List the rows anew."""
        listed = self.query_one("#row-list", OptionList)
        at = listed.highlighted or 0
        options = []
        for index, row in enumerate(self.rows):
            wrong = in_row(self.form.judged.wrong, self.field.path, index)
            told = f"  [!] {next(iter(wrong.values()))}" if wrong else ""
            options.append(plain(f"{index + 1}. {row_words(self.field, row, self.form.library)}{told}"))
        listed.clear_options()
        listed.add_options([Option(text) for text in (*options, plain(f"+  {ADD}"))])
        listed.highlighted = min(at, len(options))
        listed.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_index == len(self.rows):
            self.form.take(self.field, [*self.rows, {}])
        self.app.push_screen(RowScreen(self.form, self.field, event.option_index))

    def action_remove(self) -> None:
        """Remove the marked row."""
        at = self.query_one("#row-list", OptionList).highlighted
        if at is not None and at < len(self.rows):
            rows = self.rows
            del rows[at]
            self.form.take(self.field, rows or None)
            self.form.settle()
            self.fill()

    def action_close(self) -> None:
        """Back to the form; a row in which nothing stands is left out."""
        rows = [row for row in self.rows if row]
        self.form.take(self.field, rows or None)
        self.form.settle()
        self.dismiss()


class RowScreen(Sheet):
    """One row: its fields, each with its problem."""

    DEEDS = ROW
    HELP_TEXT = "Fill in the fields; Tab goes on, Esc goes back. What is typed stands in the form at once."
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("row") for deed in ROW]

    def __init__(self, form: FormScreen, field: Field, index: int) -> None:
        super().__init__()
        self.form = form
        self.field = field
        self.index = index

    @property
    def row(self) -> dict[str, Any]:
        """The row as it stands in the draft."""
        return dict((found(self.form.draft.entry, self.field.path) or [])[self.index])

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Vertical(classes="sheet", id="row"):
            yield Static(heading(f"{self.field.label.capitalize()}, number {self.index + 1}"))
            with VerticalScroll(can_focus=False, id="row-fields"):
                for part in self.field.row:
                    yield FieldBox(part, self.row.get(part.path[0]))
            yield About(id="about")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.paint()
        next(iter(self.query(FieldBox))).to_focus()

    def paint(self) -> None:
        """Show each field's state."""
        wrong = in_row(self.form.judged.wrong, self.field.path, self.index)
        to_fill = missing_in_row(self.field, self.row)
        for box in self.query(FieldBox):
            path = box.field.path
            problem = next((text for at, text in wrong.items() if at[:1] == path), "")
            done = "done" if box.value is not None else "free"
            mark = "wrong" if problem else "fill" if path in to_fill else done
            box.note(mark, problem, shown(box.field, box.value, self.form.library))

    def on_field_box_typed(self, event: FieldBox.Typed) -> None:
        event.stop()
        self.take(event.field, event.value)

    def on_field_box_wanted(self, event: FieldBox.Wanted) -> None:
        event.stop()
        self.form.choose(event.field, self.row.get(event.field.path[0]), lambda value: self.chosen(event.field, value))

    def chosen(self, part: Field, value: Any) -> None:
        """Take what was chosen for a field, and go back to it."""
        box = self.query_one(f"#box-{part.id}", FieldBox)
        box.set_value(value)
        self.take(part, value)
        box.to_focus()

    def take(self, part: Field, value: Any) -> None:
        """Put a value into the row."""
        row = self.row
        put(row, part.path, value)
        rows = list(found(self.form.draft.entry, self.field.path) or ())
        rows[self.index] = row
        self.form.take(self.field, rows)
        self.form.settle()
        self.paint()

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        box = next((node for node in event.widget.ancestors_with_self if isinstance(node, FieldBox)), None)
        self.query_one(About).present(box.field if box else None)

    def action_close(self) -> None:
        self.dismiss()
