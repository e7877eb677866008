"""The form in which a coach writes a drill, check, cause or symptom of their own."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar

from arclore.tui.background import in_background
from arclore.tui.form import choices
from arclore.tui.form.checking import Judged, advised, judge
from arclore.tui.form.draft import Draft
from arclore.tui.form.draft_store import DraftStore
from arclore.tui.form.fields import Field, found, put
from arclore.tui.form.preview import both_views
from arclore.tui.form.saving import OvertakenError, SaveError, file_of, name_of, places, save, usual_writer
from arclore.tui.form.sections import FOLDER, WRITER, sections_of
from arclore.tui.keys import FORM
from arclore.tui.library_search import title_of
from arclore.tui.messages import EntrySaved
from arclore.tui.screens.pick import PickScreen
from arclore.tui.screens.rows import RowsScreen
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.field_box import TYPED, About, FieldBox
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.section import Head, Section
from arclore.tui.widgets.text import lines, plain
from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Static

if TYPE_CHECKING:
    from arclore.engine.library.stack import Library

PAUSE = 0.25  # seconds without a key, after which what was typed is judged and kept
CALM = 1.0  # seconds without a key, after which the audit is asked
OTHER_FOLDER = "Choose one, or type the path of any folder: it is made where it is not there."
WAIT = "The library is still being read; a moment."
HEADS = {"new": "A new {}", "copy": "A copy of the {} “{}”", "change": "A change to the {} “{}”"}


class Ready(Message):
    """The library is read; who usually writes, and where entries may be kept."""

    def __init__(self, library: Library, writer: str, kept: list[tuple[str, str]]) -> None:
        super().__init__()
        self.library = library
        self.writer = writer
        self.kept = kept


class Advised(Message):
    """What the audit says of the draft as it stood at this turn."""

    def __init__(self, turn: int, advice: Mapping[tuple[str, ...], str]) -> None:
        super().__init__()
        self.turn = turn
        self.advice = advice


class Written(Message):
    """The draft is saved in this file."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.path = path


class Refused(Message):
    """Something could not be done, and why."""

    def __init__(self, what: str, overtaken: bool = False) -> None:
        super().__init__()
        self.what = what
        self.overtaken = overtaken  # by another program; asked once more, it is saved over that


class FormScreen(Sheet):
    """Folded parts with the fields in them; beside them, or in their place, how the entry will read."""

    DEEDS = FORM
    HELP_TEXT = (
        "The form. Each part opens with Enter. [ ] is still to be filled in, [!] to be mended, [x] done; a field "
        "without a mark may stay empty. What is typed is kept as you go, and offered again when you come back."
    )
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("form") for deed in FORM]

    def __init__(self, thinker: Thinker, handed: str, draft: Draft, store: DraftStore) -> None:
        super().__init__()
        self.thinker = thinker
        self.handed = handed
        self.draft = draft
        self.store = store
        self.library: Library | None = None
        self.places: list[tuple[str, str]] = []
        self.judged = Judged()
        self.turn = 0  # of the draft: rises with each change
        self.audited = -1  # the turn of which the audit has spoken
        self.agreed: set[str] = set()  # what may be written over: "file", "other program"
        self.state = ""
        self._pause: Timer | None = None
        self._calm: Timer | None = None
        self.parts = [Section(title, fields, self.value) for title, fields in sections_of(draft.kind, draft.changing)]

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Vertical(classes="sheet", id="form"):
            yield Static(id="form-head")
            with Horizontal(id="form-body"):
                with VerticalScroll(id="form-fields", can_focus=False):
                    yield from self.parts
                with VerticalScroll(id="form-read"):
                    yield Static(id="form-views")
            yield About(id="about")
        yield SteadyFooter()

    async def on_mount(self) -> None:
        await self.parts[0].fold(True)
        self.settle()
        self.parts[0].first_open()
        self.run_worker(in_background(self._load), group="form")

    # --- in the background ------------------------------------------------------------------------------------------

    def _load(self) -> None:
        try:
            library = self.thinker.load().library
            self.post_message(Ready(library, usual_writer(library), places(self.thinker.laid())))
        except Exception as problem:
            self.post_message(Refused(f"the library could not be read: {problem}"))

    def _advise(self, turn: int, draft: Draft, library: Library) -> None:
        try:
            self.post_message(Advised(turn, advised(draft, library)))
        except Exception as problem:
            self.post_message(Refused(f"the audit could not judge it: {problem}"))

    def _save(self, draft: Draft, over: bool) -> None:
        try:
            self.post_message(Written(save(draft, self.thinker.laid(), over)))
        except SaveError as problem:
            self.post_message(Refused(str(problem), isinstance(problem, OvertakenError)))
        except Exception as problem:
            self.post_message(Refused(f"it could not be saved: {problem}"))

    # --- what comes back --------------------------------------------------------------------------------------------

    def on_ready(self, event: Ready) -> None:
        event.stop()
        self.library, self.places = event.library, event.kept
        if not self.draft.writer:
            self.give(WRITER, event.writer)
        if not self.draft.folder:
            self.give(FOLDER, event.kept[-1 if self.thinker.folders else 0][0])
        self.settle()

    def on_advised(self, event: Advised) -> None:
        event.stop()
        if event.turn == self.turn:
            self.audited = event.turn
            self.judged = replace(self.judged, advice=event.advice)
            self.paint()

    def on_written(self, event: Written) -> None:
        event.stop()
        self.store.end()
        self.app.post_message(EntrySaved(event.path))
        self.dismiss()

    def on_refused(self, event: Refused) -> None:
        event.stop()
        self.state = ""
        if event.overtaken:
            self.agreed.add("other program")
        self.say(event.what, "error")
        self.paint()

    def say(self, text: str, severity: str = "information") -> None:
        """One line that comes up over the form."""
        shown: Any = severity
        self.notify(str(plain(text)), severity=shown, markup=False, timeout=8)

    # --- what is typed and chosen -----------------------------------------------------------------------------------

    def value(self, field: Field) -> Any:
        """What stands in a field."""
        if field in (WRITER, FOLDER):
            return getattr(self.draft, field.path[0]) or None
        return found(self.draft.entry, field.path)

    def take(self, field: Field, value: Any) -> None:
        """Put a value into the draft, and judge and keep it at the next pause."""
        if field in (WRITER, FOLDER):
            setattr(self.draft, field.path[0], value or "")
        else:
            put(self.draft.entry, field.path, value)
        if field.path == ("id",):
            self.draft.named = value is not None
        if field.path in (("title",), FOLDER.path) and not self.draft.named and not self.draft.changing:
            name = name_of(str(self.draft.entry.get("title", "")), self.draft.folder) or None
            put(self.draft.entry, ("id",), name)
            self.box(("id",)).set_value(name)
        self.turn += 1
        self.agreed.clear()
        for timer in (self._pause, self._calm):
            if timer is not None:
                timer.stop()
        self._pause = self.set_timer(PAUSE, self.settle)
        self._calm = self.set_timer(CALM, self.ask_audit)

    def give(self, field: Field, value: Any) -> None:
        """Put a value into the draft and into its box."""
        self.box(field.path).set_value(value)
        self.take(field, value)

    def box(self, path: tuple[str, ...]) -> FieldBox:
        """The box of the field at this path."""
        return next(part.boxes[path] for part in self.parts if part.holds(path))

    def settle(self) -> None:
        """Judge the draft, keep it, and show how it stands."""
        self.keep()
        advice = self.judged.advice if self.audited == self.turn else {}
        self.judged = replace(judge(self.draft, self.library), advice=advice)
        self.paint()

    def keep(self) -> None:
        """Write the draft to disk, with what was typed at this very moment."""
        for part in self.parts:
            for box in part.boxes.values():
                if box.field.kind in TYPED and box.is_mounted and (value := box.typed()) != self.value(box.field):
                    self.take(box.field, value)
        try:
            self.store.save(self.draft)
        except OSError as problem:
            self.say(f"the draft could not be kept: {problem.strerror or problem}", "error")

    def ask_audit(self) -> None:
        """Ask the audit about a draft that nothing else is wrong with."""
        if self.library is not None and self.judged.whole:
            work = partial(self._advise, self.turn, deepcopy(self.draft), self.library)
            self.run_worker(in_background(work), group="audit")

    def on_field_box_typed(self, event: FieldBox.Typed) -> None:
        event.stop()
        self.take(event.field, event.value)

    def on_field_box_wanted(self, event: FieldBox.Wanted) -> None:
        event.stop()
        field = event.field
        if field.row:
            self.app.push_screen(RowsScreen(self, field), lambda _: self.box(field.path).to_focus())
        else:
            self.choose(field, self.value(field), lambda value: self.chosen(field, value))

    def choose(self, field: Field, value: Any, take: Callable[[Any], None]) -> None:
        """Open the choice of a field."""
        if self.library is None:
            self.say(WAIT, "warning")
            return
        options = choices.options_of(field, self.draft.entry, self.library, self.places)
        several, typed = not field.single and field.kind != "folder", field.kind == "folder"
        about = OTHER_FOLDER if typed else field.about
        done: Callable[[list[str]], None] = lambda chosen: take(choices.value_of(field, chosen))  # noqa: E731
        picked, empty = choices.chosen_of(field, value), choices.empty_words(field)
        self.app.push_screen(PickScreen(field.label.capitalize(), about, options, picked, done, several, typed, empty))

    def chosen(self, field: Field, value: Any) -> None:
        """Take what was chosen, and go back to its field."""
        self.give(field, value)
        self.settle()
        self.box(field.path).to_focus()

    # --- what is shown ----------------------------------------------------------------------------------------------

    def paint(self) -> None:
        """Show each field's state, how much is open, and how the entry reads."""
        judged = self.judged
        for part in self.parts:
            part.hide(judged.hidden)
            for path, box in part.boxes.items():
                box.value = self.value(box.field)
                wrong = next((text for at, text in judged.wrong.items() if at[: len(path)] == path), "")
                done = "done" if box.value is not None else "free"
                mark = "wrong" if wrong else "fill" if path in judged.to_fill else done
                box.note(mark, self._told(path, wrong), choices.shown(box.field, box.value, self.library))
            part.tell()
        title = title_of(self.draft.base) if self.draft.base else ""
        head = HEADS[self.draft.way].format(self.draft.kind, title)
        self.query_one("#form-head", Static).update(lines(plain(head, "bold"), self.state or self._standing()))
        if self.thinker.bench is not None and not (self.has_class("-narrow") and not self.has_class("-reading")):
            always = self.thinker.bench.library.settings.get("safety", {}).get("cautions", ())
            views = both_views(self.draft.document().value, self.handed, always)
            self.query_one("#form-views", Static).update(views)

    def _told(self, path: tuple[str, ...], wrong: str) -> str:
        """The lines beneath a field."""
        advice = "" if wrong else self.judged.advice.get(path, "")
        told = [f"To mend: {wrong}" if wrong else "", f"Worth mending: {advice}" if advice else ""]
        if path == ("title",) and self.judged.near:
            told += ["Much like it, perhaps the same:", *(f"- {title} ({name})" for name, title in self.judged.near)]
        return "\n".join(line for line in told if line)

    def _standing(self) -> str:
        """In a line: what is open, or that it can be saved."""
        judged = self.judged
        counted = ((len(judged.to_fill), "to fill in"), (len(judged.wrong), "to mend"))
        told = ", ".join(f"{count} {what}" for count, what in counted if count)
        return f"{told}. What is typed is kept as a draft." if told else "Nothing is open: Ctrl+S saves it."

    def on_descendant_focus(self, event: events.DescendantFocus) -> None:
        nodes = event.widget.ancestors_with_self
        box = next((node for node in nodes if isinstance(node, FieldBox)), None)
        about = self.query_one(About)
        if isinstance(event.widget, Head):
            about.update(plain("Enter opens or closes this part. Tab or Down: the next one."))
        else:
            about.present(box.field if box else None)

    # --- keys -------------------------------------------------------------------------------------------------------

    async def action_save(self) -> None:
        """Save it, or go to what keeps it from being saved."""
        if self.state:
            return
        self.settle()
        if self.library is None or not self.judged.whole:
            self.say(f"Not saved yet: {self._standing()}" if self.library else WAIT, "warning")
            await self.action_next()
            return
        file = file_of(self.draft, self.library)
        if file is not None and "file" not in self.agreed:
            self.agreed.add("file")
            self.say(f"This changes {file}; what you did not touch stays. Ctrl+S once more does it.", "warning")
            return
        self.state = "Being saved…"
        self.paint()
        work = partial(self._save, deepcopy(self.draft), "other program" in self.agreed)
        self.run_worker(in_background(work), group="save")

    async def action_next(self) -> None:
        """Go to the next field that is open, after the one with the focus."""
        boxes = [(part, box) for part in self.parts for box in part.boxes.values() if box.display]
        at = next((n for n, (_, box) in enumerate(boxes) if box.has_focus_within), -1)
        for part, box in [*boxes[at + 1 :], *boxes[: at + 1]]:
            if box.mark in ("fill", "wrong"):
                await part.fold(True)
                self.reading(False)
                self.call_after_refresh(box.to_focus)
                return

    def action_read(self) -> None:
        """How it will read, and back to the form."""
        on = not self.query_one("#form-read").has_focus
        self.reading(on)
        if on:
            self.paint()
            self.query_one("#form-read").focus()
        else:
            self.parts[0].query_one(Head).focus()

    def reading(self, on: bool) -> None:
        """Turn to how it reads, or to the form."""
        self.set_class(on, "-reading")

    def action_leave(self) -> None:
        """Back; from reading to the form, from the form to where it was opened."""
        if self.has_class("-reading"):
            self.action_read()
            return
        self.keep()
        if self.draft.begun:
            self.app.notify("The draft is kept; Ctrl+N offers it again.", markup=False)
        self.dismiss()

    def action_throw(self) -> None:
        """Throw the draft away, when asked twice."""
        if "throw" not in self.agreed:
            self.agreed.add("throw")
            self.say("This throws the draft away. F8 once more does it.", "warning")
            return
        self.store.end()
        self.dismiss()
