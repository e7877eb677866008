"""What is to be written: a new entry, a copy or a change of one, or a draft that was left."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from arclore.tui.form.draft import begin
from arclore.tui.form.draft_store import DraftStore, SavedDraft
from arclore.tui.form.fields import KINDS
from arclore.tui.keys import WRITE
from arclore.tui.library_search import title_of
from arclore.tui.questions import Choice
from arclore.tui.screens.entry_form import FormScreen
from arclore.tui.screens.resume import moment
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.choices import Choices
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

NEW = {
    "drill": "a new drill: practice that changes one thing",
    "check": "a new check: a cheap test that tells causes apart",
    "cause": "a new cause: why the ball does it",
    "symptom": "a new symptom: something seen or reported",
}
COPY, CHANGE = "c", "h"
DRAFTS = "56789"
NO_ENTRY = "To begin with a copy, find an entry in the library first and press Ctrl+N there."


class WriteScreen(Sheet):
    """Offers what can be written; ``entry``: the one that is read, which may be copied or changed."""

    DEEDS = WRITE
    HELP_TEXT = "Press the key beside a line, or click it."
    BINDINGS: ClassVar[list[BindingType]] = [
        *(Binding(key, f"take('{key}')", show=False) for key in (*"1234", COPY, CHANGE, *DRAFTS)),
        *(deed.binding("write") for deed in WRITE),
    ]

    def __init__(self, thinker: Thinker, handed: str, store: DraftStore, entry: Mapping[str, Any] | None) -> None:
        super().__init__()
        self.thinker = thinker
        self.handed = handed
        self.store = store
        self.entry = entry if entry and entry.get("kind") in KINDS else None
        self.drafts: list[SavedDraft] = []

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with VerticalScroll(classes="sheet"):
            yield Static(lines(heading("Write an entry of your own"), "" if self.entry else NO_ENTRY))
            yield Choices(id="kinds")
            yield Static(lines(heading("Not finished yet")), id="drafts-head")
            yield Choices(id="drafts")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.drafts = self.store.found()
        kinds = {str(n): Choice(str(n), NEW[kind]) for n, kind in enumerate(KINDS, start=1)}
        if self.entry:
            named = f"the {self.entry['kind']} “{title_of(self.entry)}”"
            kinds[COPY] = Choice(COPY, f"begin with a copy of {named}")
            kinds[CHANGE] = Choice(CHANGE, f"change {named}")
        self.query_one("#kinds", Choices).show(list(kinds.values()), (), keys=list(kinds))
        drafts = {key: Choice(key, described(saved)) for key, saved in zip(DRAFTS, self.drafts, strict=False)}
        self.query_one("#drafts-head").display = bool(drafts)
        self.query_one("#drafts", Choices).show(list(drafts.values()), (), keys=list(drafts))

    def on_choices_clicked(self, event: Choices.Clicked) -> None:
        self.action_take(event.value)

    def action_take(self, key: str) -> None:
        """Open the form on what this key stands for."""
        if key in "1234":
            draft = begin(KINDS[int(key) - 1])
        elif key in (COPY, CHANGE):
            if self.entry is None:
                return
            draft = begin(self.entry["kind"], "copy" if key == COPY else "change", self.entry)
        else:
            saved = next((saved for name, saved in zip(DRAFTS, self.drafts, strict=False) if name == key), None)
            if saved is None:
                return
            draft = saved.draft
            try:
                self.store.take_over(saved)
            except OSError as problem:
                self.notify(f"The draft stays where it is: {problem.strerror or problem}", markup=False)
        self.app.switch_screen(FormScreen(self.thinker, self.handed, draft, self.store))


def described(saved: SavedDraft) -> str:
    """A draft in a line."""
    draft = saved.draft
    what = {"new": "a new", "copy": "a copied", "change": "a changed"}[draft.way]
    title = title_of(draft.entry) if draft.entry.get("title") else "no title yet"
    return f"{what} {draft.kind}: {title}; {moment(saved.when)}"
