"""What stands on the screen already is not given to it again."""

from __future__ import annotations

from arclore.tui.widgets.put import put, put_options
from arclore.tui.widgets.text import plain
from textual.app import App, ComposeResult
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option


class Shelf(App[None]):
    def __init__(self) -> None:
        super().__init__()
        self.marked: list[str | None] = []

    def compose(self) -> ComposeResult:
        yield Static(id="text")
        yield OptionList(id="list")

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        self.marked.append(event.option_id)


def options(*texts: str) -> list[Option]:
    return [Option(plain(text), id=f"o{number}") for number, text in enumerate(texts)]


async def test_only_what_changed_is_put_anew() -> None:
    app = Shelf()
    async with app.run_test() as pilot:
        text, rows = app.query_one("#text", Static), app.query_one("#list", OptionList)
        put(text, plain("one"))
        stands = text.visual
        put(text, plain("one"))
        assert text.visual is stands
        put(text, plain("one", "bold"))  # the same words in another weight
        assert text.visual is not stands
        put_options(rows, options("a", "b"), 1)
        first = rows.options[0]
        put_options(rows, options("a", "c"), 1)
        assert rows.options[0] is first and str(rows.options[1].prompt) == "c" and rows.highlighted == 1
        put_options(rows, options("a", "c", "d"), 2)
        assert rows.option_count == 3 and rows.highlighted == 2
        put_options(rows, [], None)
        assert rows.option_count == 0
        await pilot.pause()
    assert app.marked == []  # what is put is not what a person chose
