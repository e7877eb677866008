"""The wrap of a lesson: the page to take home is looked at and saved where the coach says."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any, ClassVar

from arclore.tui.background import in_background
from arclore.tui.hand import hand_drawn
from arclore.tui.keys import WRAP
from arclore.tui.questions import Choice
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.take_home import UNTIL_RETEST, TakeHome, as_text, files_in, save, take_home, usual_folder
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.shelf import Shelf
from arclore.tui.widgets.text import lines, plain
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.widgets import Input, Label, Static

WAYS = {"y": Choice("y", "write over them"), "n": Choice("n", "keep them")}
FIELDS = {"name": "name, if wished", "retest": "test again on", "folder": "folder"}
LONGEST = {"name": 60, "retest": 10, "folder": 1000}


class Kept(Message):
    """What came of saving: the page for the browser, files that stand already, or a problem in words."""

    def __init__(self, what: str, page: Path | None = None, standing: bool = False) -> None:
        super().__init__()
        self.what = what
        self.page = page
        self.standing = standing


class WrapScreen(Sheet):
    """Shows the page of one cause and its drill as the student will get it, with the fields that can be filled in."""

    DEEDS = WRAP
    HELP_TEXT = (
        "The page to take home. f goes to the fields, Enter comes back from them, s saves a text and a page for the "
        "browser or printer. No name stands on it unless one is typed. c says that it proved to be this cause: what "
        "was asked is then kept on this computer, without names, and the academy's figures can be learned from it."
    )
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("wrap") for deed in WRAP]

    def __init__(
        self,
        thinker: Thinker,
        answer: Mapping[str, Any],
        parts: tuple[Mapping[str, Any], Mapping[str, Any]],
        shelf: Shelf,
        place: tuple[str, str],
        proved: Callable[[], str],
    ) -> None:
        """``parts``: the entries of cause and drill. ``place``: the club that is drawn, and the id of the cause.

        proved: keeps that it was this cause, or takes that back, and says so in a line.
        """
        super().__init__()
        self.thinker = thinker
        self.answer = answer
        self.parts = parts
        self.shelf = shelf
        self.place = place
        self.proved = proved
        self.today = date.today()
        self.asking = False  # whether files stand already and the coach is asked about them

    def compose(self) -> ComposeResult:
        given = {"name": "", "retest": f"{self.today + UNTIL_RETEST:%Y-%m-%d}", "folder": str(usual_folder())}
        yield TooSmall()
        with Vertical(classes="sheet"):
            for name, label in FIELDS.items():
                with Horizontal(classes="field"):
                    yield Label(plain(label))
                    yield Input(given[name], id=name, max_length=LONGEST[name], compact=True, select_on_focus=False)
            yield Static(id="wrap-says")
            yield Choices(id="over")
            with VerticalScroll(id="wrap-scroll"):
                yield Static(id="page")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.query_one("#wrap-scroll").focus()
        self.tell("f fills in the fields, s saves; c: it proved to be this cause.")
        self.show_page()

    def tell(self, text: str) -> None:
        """One line over the page."""
        self.query_one("#wrap-says", Static).update(plain(text, "bold"))
        self.query_one("#over", Choices).show(list(WAYS.values()) if self.asking else (), (), keys=list(WAYS))

    @property
    def retest(self) -> date | None:
        """The day of the re-test; None where what stands in the field is no day to come."""
        try:
            day = date.fromisoformat(self.query_one("#retest", Input).value.strip())
        except ValueError:
            return None
        return day if day >= self.today else None

    @property
    def page(self) -> TakeHome:
        cause, drill = self.parts
        name = self.query_one("#name", Input).value.strip()
        handed = str(self.answer["handed"])
        day = self.retest or self.today + UNTIL_RETEST
        return take_home(cause, drill, self.shelf.cautions, handed, day, name, self.answer["take_care"])

    def show_page(self) -> None:
        rows = as_text(self.page).rstrip("\n").split("\n")
        self.query_one("#page", Static).update(lines(*(plain(row or " ") for row in rows)))

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self.show_page()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one("#wrap-scroll").focus()

    # --- saving -----------------------------------------------------------------------------------------------------

    def action_fields(self) -> None:
        self.query_one("#name", Input).focus()

    def action_proved(self) -> None:
        self.tell(self.proved())

    def action_save(self, over: bool = False) -> None:
        """Save both files; where they stand already, ask first."""
        folder = self.query_one("#folder", Input).value.strip()
        if self.retest is None:
            self.tell(f"The day to test again reads like {self.today + UNTIL_RETEST:%Y-%m-%d} and lies ahead.")
        elif not folder:
            self.tell("Name a folder first.")
        else:
            self.tell("Saving the page…")
            work = partial(self._save, self.page, Path(folder), over)
            self.run_worker(in_background(work), exclusive=True, group="save")

    def action_over(self, over: bool) -> None:
        """Answer whether files that stand already are written over."""
        if self.asking:
            self.asking = False
            self.tell("They are kept. Name another folder to save it there.")
            if over:
                self.action_save(over=True)

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_over(event.value == "y")

    def _save(self, page: TakeHome, folder: Path, over: bool) -> None:
        """In the background: draw the picture, write both files."""
        from arclore.engine.library.folder import typed_path

        try:
            files = files_in(typed_path(folder).absolute(), self.today)
            if not over and any(path.exists() or path.is_symlink() for path in files):
                self.post_message(Kept(f"{files[0].stem} stands already in {files[0].parent}.", standing=True))
                return
            save(page, self._picture(), files)
        except (OSError, RuntimeError, ValueError) as problem:
            reason = getattr(problem, "strerror", None) or problem
            self.post_message(Kept(f"It could not be saved: {reason}"))
            return
        self.post_message(Kept(f"Saved in {files[0].parent}: {files[0].name} and {files[1].name}.", files[1]))

    def _picture(self) -> str:
        """Before and after as SVG; nothing where they cannot be drawn."""
        from arclore.tui.inferred import before_and_after
        from arclore.tui.pictures.plate import of_change
        from arclore.tui.pictures.svg import as_svg

        club, cause = self.place
        try:
            pair = before_and_after(self.thinker.load().library, self.answer, club, cause)
            title = f"{pair.title.partition(':')[0]}, from above and face-on"
            handed = hand_drawn(self.answer)
            return as_svg(of_change(title, pair.strokes, handed))
        except (ArithmeticError, KeyError, ValueError):
            return ""

    def on_kept(self, event: Kept) -> None:
        event.stop()
        self.asking = event.standing
        if event.standing:
            self.set_focus(None)
        self.tell(event.what)
        if event.page is not None and self.app.is_web:
            self.app.deliver_binary(event.page, mime_type="text/html")  # to the tablet too, whose disk is another one
