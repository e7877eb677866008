"""The library: search it, read an entry, walk from entry to entry along what they name."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, Any, ClassVar

from arclore.tui.background import in_background
from arclore.tui.keys import LIBRARY
from arclore.tui.library_search import HOW, Catalogue, Found, catalogue, title_of
from arclore.tui.messages import WriteWanted
from arclore.tui.screens.sheet import Sheet
from arclore.tui.screens.sized import TooSmall
from arclore.tui.thinker import Thinker
from arclore.tui.widgets.footer import SteadyFooter
from arclore.tui.widgets.text import heading, lines, plain
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.message import Message
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

if TYPE_CHECKING:
    from pathlib import Path

    from arclore.engine.library.stack import Key, Library
    from arclore.tui.entry_text import Link

MOST = 150  # entries listed at once
LONGEST = 200


class ShelfReady(Message):
    """The library, its catalogue, its graph, the status of each entry and the names of the layers."""

    def __init__(
        self,
        library: Library,
        listed: Catalogue,
        graph: Any,
        statuses: Mapping[Key, str],
        layers: Mapping[Path, str],
    ) -> None:
        super().__init__()
        self.library = library
        self.listed = listed
        self.graph = graph
        self.statuses = statuses
        self.layers = layers


class ShelfFailed(Message):
    """The library could not be read, and why."""

    def __init__(self, problem: str) -> None:
        super().__init__()
        self.problem = problem


class LibraryScreen(Sheet):
    """Search above, entries on one side, the entry that is read on the other; one at a time in a narrow window."""

    DEEDS = LIBRARY
    HELP_TEXT = (
        f"The library. {HOW}. Enter goes from the search to the list, from the list to the entry, and from a link to "
        "the entry at its other end; b goes back the way you came."
    )
    BINDINGS: ClassVar[list[BindingType]] = [deed.binding("library") for deed in LIBRARY]

    def __init__(self, thinker: Thinker, handed: str) -> None:
        super().__init__()
        self.thinker = thinker
        self.handed = handed
        self.library: Library | None = None
        self.graph: Any = None
        self.listed = Catalogue()
        self.statuses: Mapping[Key, str] = {}
        self.layer_names: Mapping[Path, str] = {}
        self.found: list[Found] = []
        self.links: list[Link] = []
        self.way: list[Key] = []  # entries read, the last one standing

    def compose(self) -> ComposeResult:
        yield TooSmall()
        with Vertical(classes="sheet", id="library"):
            yield Input(placeholder="search", id="query", max_length=LONGEST, compact=True, select_on_focus=False)
            yield Static(plain(HOW), id="how")
            with Horizontal(id="shelf"):
                yield OptionList(id="found")
                with Vertical(id="entry"):
                    with VerticalScroll(id="entry-scroll", can_focus=False):
                        yield Static(plain("Reading the library…"), id="entry-text")
                    yield OptionList(id="links")
        yield SteadyFooter()

    def on_mount(self) -> None:
        self.query_one("#query").focus()
        self.run_worker(in_background(self._load), group="library")

    def _load(self) -> None:
        """In the background: the graph, and the status of each entry as its reviews make it."""
        from arclore.engine.library.graph import build_graph
        from arclore.engine.upkeep.git import GitError
        from arclore.engine.upkeep.history import history_of
        from arclore.engine.upkeep.provenance import layer_names
        from arclore.engine.upkeep.statuses import statuses

        try:
            library = self.thinker.load().library
            graph, _ = build_graph(library)
            listed = catalogue({key: document.value for key, document in library.documents.items()})
            layers = layer_names()
            known = {}
            for folder in sorted(set(library.origin.values())):
                try:
                    rows, _ = statuses(library, folder, history_of(folder), date.today())
                except GitError:
                    continue
                known.update({(row.kind, row.id): row.status for row in rows})
        except Exception as problem:
            self.post_message(ShelfFailed(str(problem)))
            return
        self.post_message(ShelfReady(library, listed, graph, known, layers))

    def on_shelf_failed(self, event: ShelfFailed) -> None:
        event.stop()
        self.query_one("#entry-text", Static).update(plain(f"The library could not be read: {event.problem}"))

    def on_shelf_ready(self, event: ShelfReady) -> None:
        event.stop()
        self.library, self.listed = event.library, event.listed
        self.graph, self.statuses, self.layer_names = event.graph, event.statuses, event.layers
        self.find(self.query_one("#query", Input).value)

    # --- what is found ----------------------------------------------------------------------------------------------

    def find(self, query: str) -> None:
        """List what fits the query."""
        if self.library is None:
            return
        self.found = self.listed.search(query)
        shown = self.query_one("#found", OptionList)
        shown.clear_options()
        shown.add_options([Option(plain(f"{row.kind}: {row.title}")) for row in self.found[:MOST]])
        if len(self.found) > MOST:
            more = f"… and {len(self.found) - MOST} more: say more to narrow it"
            shown.add_option(Option(plain(more), disabled=True))
        if not self.found:
            self.query_one("#entry-text", Static).update(plain("Nothing fits. Take a word away."))
            self.query_one("#links", OptionList).clear_options()
        else:
            shown.highlighted = 0

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self.find(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.query_one("#found").focus()

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_list.id == "found" and event.option_index < len(self.found):
            row = self.found[event.option_index]
            self.way = [(row.kind, row.id)]
            self.read()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_list.id == "links":
            self.way.append(self.links[event.option_index].to)
            self.read()
        self.reading(True)

    # --- the entry that is read -------------------------------------------------------------------------------------

    def reading(self, on: bool) -> None:
        """Turn to the entry, or back to the list."""
        self.set_class(on, "-reading")
        self.query_one("#links" if on else "#found").focus(scroll_visible=False)

    def read(self) -> None:
        """Show the entry at the end of the way."""
        from arclore.tui.entry_text import fields, label_of, links, sources

        assert self.library is not None
        key = self.way[-1]
        entry = self.library.of_kind(key[0])[key[1]]
        head = (f"{key[0]} {key[1]}", f"Status: {self._status(key)}", " ")
        body: list[Content | str] = [heading(title_of(entry)), *head]
        for name, rows in fields(entry, self.handed):
            label = f"{label_of(key[0], name)}{self._from(key, name)}:"
            body += [plain(label, "bold"), *(plain(f"  {row}") for row in rows)]
        body += [plain("Sources:", "bold"), *(plain(f"  {row}") for row in sources(entry, self.library)), " "]
        self.links = links(self.graph, self.library, key)
        self.query_one("#entry-text", Static).update(lines(*body))
        shown = self.query_one("#links", OptionList)
        shown.clear_options()
        shown.add_options([Option(plain(f"{link.words} {link.to[0]}: {link.title}")) for link in self.links])
        shown.highlighted = 0 if self.links else None
        shown.border_title = "Enter follows a link"
        self.query_one("#entry-scroll").scroll_home(animate=False)

    def _from(self, key: Key, name: str) -> str:
        """The layer that gives a field, where that is not the built-in library."""
        from arclore.engine.upkeep.provenance import BUILT_IN_NAME, layer_of

        assert self.library is not None
        layer = layer_of(self.library.documents[key].origin((name,)), self.layer_names)
        return "" if layer == BUILT_IN_NAME else f" (from {layer})"

    def _status(self, key: Key) -> str:
        assert self.library is not None
        retired = "retired" if self.library.of_kind(key[0])[key[1]].get("retired") else ""
        return self.statuses.get(key, retired or "not known: its history cannot be read").replace("-", " ")

    def action_back(self) -> None:
        """Back the way that was walked; from its beginning to the list."""
        if len(self.way) > 1:
            self.way.pop()
            self.read()
        else:
            self.reading(False)

    def action_scroll(self, by: int) -> None:
        """Scroll the entry by a page."""
        entry = self.query_one("#entry-scroll")
        entry.scroll_relative(y=by * max(entry.size.height - 1, 1), animate=False)

    def action_write(self) -> None:
        """Write an entry, or copy or change the one that is read."""
        key = self.way[-1] if self.way else None
        document = self.library.documents.get(key) if self.library and key else None
        self.app.post_message(WriteWanted(self.handed, document.value if document else None))

    def renew(self, name: str) -> None:
        """Read the library again and show the entry of this id, which was written just now."""
        self.query_one("#query", Input).value = name
        self.run_worker(in_background(self._load), group="library")

    def action_query(self) -> None:
        """Back to the search."""
        self.set_class(False, "-reading")
        self.query_one("#query").focus()
