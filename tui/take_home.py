"""The page that a student takes home, as text and as HTML: one change, one drill, when to test it again."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from html import escape
from pathlib import Path
from textwrap import wrap
from typing import Any

import platformdirs
from arclore.engine.library.atomic import write_text
from arclore.engine.library.problems import printable
from arclore.tui.command.page import sentence
from arclore.tui.hand import for_hand
from arclore.tui.lesson_store import lessons_folder
from arclore.tui.wording import caution_lines, dose_line

COLUMNS = 70
UNTIL_RETEST = timedelta(days=14)
PAIN = "If anything hurts, goes numb or makes you dizzy: stop, and see a licensed health professional before you go on."
STYLE = """
body { font: 12pt/1.4 Georgia, 'DejaVu Serif', 'Liberation Serif', serif; color: #000; background: #fff;
  max-width: 46em; margin: 1.5em auto; padding: 0 1em; }
h1 { font-size: 1.5em; margin: 0 0 .4em; } h2 { font-size: 1.05em; margin: .8em 0 .2em; }
p, ol, ul { margin: 0 0 .3em; } .cue { font-size: 1.35em; font-weight: bold; }
svg { display: block; width: 100%; height: auto; margin-top: 1em; }
section { break-inside: avoid; }
@page { margin: 12mm 15mm; }
@media print {
  html, body { height: 100%; }
  body { display: flex; flex-direction: column; margin: 0; padding: 0; max-width: none; font-size: 10.5pt;
    line-height: 1.3; }
  h2 { margin-top: .55em; }
  svg { flex: 1 1 0; min-height: 50mm; margin-top: 3mm; }
}
"""
"""On paper the picture takes what the words leave, so that A4 and letter both hold all of it on one page."""


@dataclass(frozen=True)
class Part:
    """A part of the page: its heading, its lines, and whether they are steps in order, points, or one cue."""

    heading: str
    lines: tuple[str, ...]
    kind: str = "text"  # or "steps", "points", "cue"


@dataclass(frozen=True)
class TakeHome:
    """The whole page; ``name`` only where one was typed."""

    parts: tuple[Part, ...]
    name: str = ""

    @property
    def title(self) -> str:
        return f"To take home: {self.name}" if self.name else "To take home"


def take_home(
    cause: Mapping[str, Any],
    drill: Mapping[str, Any],
    always: Sequence[str],
    handed: str,
    retest: date,
    name: str = "",
    minded: Sequence[str] = (),
) -> TakeHome:
    """The page of one cause and one drill for it.

    ``always``: cautions that stand where the drill has none. ``minded``: what to mind with this player.
    """

    def own(text: object) -> str:
        return sentence(for_hand(str(text), handed))

    parts = (
        Part("The one thing to change", (own(cause["tell_student"]),)),
        Part("Think of this, and of nothing else", (own(drill["cue"]),), "cue"),
        Part("The drill", (own(drill["title"]),)),
        Part("How", tuple(own(step) for step in drill["steps"]), "steps"),
        Part("How much", (sentence(dose_line(drill["dose"])),)),
        Part("When it is good enough", (own(mark_line(drill["pass_mark"])),)),
        Part("Take care", (*minded, *map(sentence, caution_lines(drill, always, handed)), PAIN), "points"),
        Part("Test it again", (f"On {retest.day} {retest:%B %Y}: {for_hand(str(drill['retest']), handed)}.",)),
    )
    return TakeHome(parts, name)


def mark_line(mark: Mapping[str, Any]) -> str:
    """When a drill is done well enough, in words."""
    return f"{mark['hits']} of {mark['of']} {mark['counts']}"


def as_text(page: TakeHome) -> str:
    """The page as plain text for a mail or a printer."""
    rows = [printable(page.title), "=" * min(len(printable(page.title)), COLUMNS)]
    for part in page.parts:
        rows += ["", printable(part.heading).upper()]
        for number, line in enumerate(part.lines, start=1):
            mark = {"steps": f"{number}. ", "points": "- "}.get(part.kind, "")
            rows += wrap(printable(line), COLUMNS, initial_indent=mark, subsequent_indent=" " * len(mark))
    return "\n".join(rows) + "\n"


def as_html(page: TakeHome, picture: str = "") -> str:
    """The page as one HTML file that asks nothing of any other place. ``picture``: an SVG element, or nothing."""
    body = [f"<h1>{_safe(page.title)}</h1>", *map(_part, page.parts), picture]
    head = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{_safe(page.title)}</title><style>{STYLE}</style></head><body>\n"
    )
    return head + "\n".join(body) + "\n</body></html>\n"


def _part(part: Part) -> str:
    if part.kind in ("steps", "points"):
        name = "ol" if part.kind == "steps" else "ul"
        inside = f"<{name}>{''.join(f'<li>{_safe(line)}</li>' for line in part.lines)}</{name}>"
    else:
        mark = ' class="cue"' if part.kind == "cue" else ""
        inside = "".join(f"<p{mark}>{_safe(line)}</p>" for line in part.lines)
    return f"<section><h2>{_safe(part.heading)}</h2>{inside}</section>"


def _safe(text: str) -> str:
    return escape(printable(text))


# --- where it goes ------------------------------------------------------------------------------------------------


def usual_folder() -> Path:
    """The user's documents where there is such a folder, else one beside the lessons."""
    documents = Path(platformdirs.user_documents_dir())
    return documents if documents.is_dir() else lessons_folder().parent / "pages"


def files_in(folder: Path, day: date) -> tuple[Path, Path]:
    """The text and the HTML file of a day; no name of a person is in theirs."""
    return folder / f"lesson-{day:%Y-%m-%d}.txt", folder / f"lesson-{day:%Y-%m-%d}.html"


def save(page: TakeHome, picture: str, files: tuple[Path, Path]) -> None:
    """Write both files for this user alone. Raises OSError."""
    for path, text in zip(files, (as_text(page), as_html(page, picture)), strict=True):
        write_text(path, text, mode=0o600)
