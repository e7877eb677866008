"""On paper: what is approved, whole, on the page, and nothing of it acts on whoever opens the file."""

from __future__ import annotations

import io
import json
import re
from datetime import date
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from arclore.engine.library.stack import load_library
from arclore.engine.upkeep.history import history_of
from arclore.engine.upkeep.statuses import statuses
from arclore.tui.command.exits import Exit
from arclore.tui.prints.cards import KINDS, Sheet, sheet
from arclore.tui.prints.pdf import POCKET, as_pdf, wall_paper
from arclore.tui.prints.web import as_html
from pypdf import PdfReader

from tests.command.running import Run
from tests.library.conftest import sound_entry
from tests.shared.conftest import Make, commit, drill, git
from tests.shared.test_review import ORLA, PIERS, judge

FORMS = ("wall", "pocket")
TODAY = date(2031, 5, 20)
LONG = {
    "title": "the club " + "brushes the grass " * 8,
    "cue": "brush it " * 22,
    "steps": [f"Step {n}: " + "swing slowly and hold the finish " * 9 for n in range(6)],
    "cautions": [f"Caution {n}: " + "keep clear all round and stop at any pain " * 6 for n in range(8)],
    "hazards": "w" * 290,
    "not_for": ["back-history", "shoulder-history"],
}
ACTING = "<script>alert(1)</script><img src=x onerror=alert(1)> &amp; \"' [b]{%"


def made(folder: Path, **library: Any) -> Sheet:
    laid = load_library(folder)
    found, rows = statuses(laid, folder, history_of(folder), TODAY)
    assert (laid.problems, rows) == ([], [])
    about = {"title": "The drills of Larkmoor Hollow", "version": "1.0.0", **library}
    return sheet(laid, found, about, "right", KINDS)


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def texts(printed: Sheet, form: str) -> list[str]:
    """Everything that must stand on a print."""
    found = [] if form == "pocket" else [printed.title, printed.about, *printed.always]
    for card in printed.cards:
        found += [card.title, card.say, card.foot, *(text for fact in card.facts for text in fact)]
        found += [*printed.own_care(card)] if form == "wall" else [*card.care, *card.steps]
    return found


def pages_of(data: bytes, form: str) -> list[str]:
    """The text of each page, each letter of which stands on the paper."""
    paper = wall_paper(9) if form == "wall" else POCKET
    pages = PdfReader(io.BytesIO(data)).pages
    for page in pages:
        assert [round(float(side) * 25.4 / 72) for side in page.mediabox[2:]] == list(paper.form)

        def seen(text: str, _: Any, at: Any, *__: Any) -> None:
            if text.strip():
                x, y = at[4] * 25.4 / 72, at[5] * 25.4 / 72
                assert 0 < x < paper.form[0], (text, x)
                assert 0 < y < paper.form[1], (text, y)

        page.extract_text(visitor_text=seen)
    return [page.extract_text() for page in pages]


def check(name: str, **fields: Any) -> dict[str, Any]:
    return sound_entry("check", name, **fields)


@pytest.fixture
def folder(make: Make) -> Path:
    """A library of a plain drill, one as long as may be, one in other letters and a check."""
    long = drill("larkmoor-long", **LONG)
    foreign = drill("larkmoor-letters", title="Žofie ƒ Ελένη Жанна ﬁ 中文 עברית", cue=ACTING)
    return make("larkmoor", drill("larkmoor-brush"), long, foreign, check("larkmoor-look"))


@pytest.mark.parametrize("form", FORMS)
def test_nothing_is_lost_on_paper(folder: Path, form: str) -> None:
    printed = made(folder)
    assert [card.kind for card in printed.cards] == ["drill", "drill", "drill", "check"]
    page = squeezed(unescape(re.sub(r"<style>.*?</style>|<[^>]*>", "", as_html(printed, form), flags=re.DOTALL)))
    data, missing = as_pdf(printed, form)
    pdf = squeezed("".join(pages_of(data, form)))
    assert missing == len("中文עברית")
    for text in texts(printed, form):
        assert squeezed(text) in page, text
        if "中文" not in text:
            assert all(squeezed(word) in pdf for word in text.split() if len(word) < 40), text
    assert "w" * 20 in pdf


@pytest.mark.parametrize("form", FORMS)
def test_a_page_asks_for_nothing_and_runs_nothing(folder: Path, form: str) -> None:
    page = as_html(made(folder, title=ACTING), form)
    assert "default-src 'none'" in page
    assert not re.search(r"<(script|img|link|iframe|object)|\bon\w+=[^&]*>|https?:|url\(|@import", page.replace(
        "onerror=alert(1)&gt;", ""))  # fmt: skip
    assert "&lt;script&gt;" in page


@pytest.mark.parametrize("form", FORMS)
def test_many_cards_take_more_sheets_and_none_of_them_no_card(make: Make, form: str) -> None:
    many = made(make("larkmoor", *(drill(f"larkmoor-n{n}", title=f"it is number {n}") for n in range(60))))
    pages = pages_of(as_pdf(many, form)[0], form)
    assert len(pages) > 1
    assert all(f"It is number {n}." in "".join(pages) for n in range(60))
    none = Sheet("Nothing", "Version 1.0.0: nothing.", (), ())
    assert ["Nothing is approved yet." in page for page in pages_of(as_pdf(none, form)[0], form)] == [True]
    assert "Nothing is approved yet." in as_html(none, form)


def test_a_few_cards_stand_large_on_one_sheet(make: Make) -> None:
    few = made(make("larkmoor", *(drill(f"larkmoor-n{n}") for n in range(4))))
    data, _ = as_pdf(few, "wall")
    assert len(PdfReader(io.BytesIO(data)).pages) == 1
    size = re.search(r"font-size: ([\d.]+)pt", as_html(few, "wall"))
    assert size
    assert float(size[1]) > 20


@pytest.mark.parametrize(("count", "columns", "least_pt"), [(1, 1, 40), (2, 2, 30), (9, 3, 14)])
def test_the_fewer_the_cards_the_wider_and_larger_they_stand(
    make: Make, count: int, columns: int, least_pt: float
) -> None:
    few = made(make("larkmoor", *(drill(f"larkmoor-n{n}", title=f"a long rope is number {n}") for n in range(count))))
    page = as_html(few, "wall")
    assert f"columns: {columns};" in page
    size = re.search(r"font-size: ([\d.]+)pt", page)
    assert size
    assert float(size[1]) >= least_pt
    (sheet_of_paper,) = PdfReader(io.BytesIO(as_pdf(few, "wall")[0])).pages
    seen: dict[str, float] = {}
    sheet_of_paper.extract_text(visitor_text=lambda text, _, at, font, pt: seen.update({text.strip(): pt}))
    assert max(pt for text, pt in seen.items() if "rope" in text) >= least_pt


def test_only_what_is_approved_is_printed_and_the_rest_says_what_it_is(run: Run, make: Make, tmp_path: Path) -> None:
    brush = drill("larkmoor-brush", author="Orla Fenwick", title="the approved one")
    gone = drill("larkmoor-gone", title="the retired one", retired={"reason": "nobody used it"})
    folder = make("larkmoor", brush, drill("larkmoor-new", title="the new one"), gone)
    git(folder.parent, "init", "-q", str(folder))
    commit(folder, ORLA)
    judge(folder, content=brush, date="2026-01-02", expires="2090-01-02")
    commit(folder, PIERS)
    page, every = tmp_path / "a.html", tmp_path / "b.html"
    assert run("library", "print", folder, "--for", "pocket", "--to", page).code == Exit.DONE
    text = page.read_text(encoding="utf-8")
    assert "The approved one." in text
    assert "approved by Piers Oakley until 2090-01-02" in text
    assert "The new one." not in text
    run("library", "print", folder, "--for", "wall", "--to", every, "--least", "unreviewed")
    assert "larkmoor-new: NOT APPROVED (unreviewed)" in every.read_text(encoding="utf-8")
    assert "The retired one." not in every.read_text(encoding="utf-8")
    (folder / "drills" / "larkmoor-brush.yaml").write_text(json.dumps({**brush, "minutes": 6}), encoding="utf-8")
    late = run("library", "print", folder, "--for", "wall", "--to", tmp_path / "c.pdf")
    assert (late.code, "0 cards" in late.out) == (Exit.DONE, True)
    assert "nothing has come so far" in late.err


def test_what_can_not_be_written_is_one_line(run: Run, make: Make, tmp_path: Path) -> None:
    folder = make("larkmoor", drill("larkmoor-brush"))
    (tmp_path / "a.pdf").write_text("mine", encoding="utf-8")
    for name in ("a.pdf", "a.docx", "missing/a.html", "a"):
        refused = run("library", "print", folder, "--for", "wall", "--to", tmp_path / name)
        assert (refused.code, len(refused.err.splitlines())) == (Exit.WRONG_USE, 1)
    assert (tmp_path / "a.pdf").read_text(encoding="utf-8") == "mine"
    empty = tmp_path / "empty"
    empty.mkdir()
    assert run("library", "print", empty, "--for", "wall", "--to", tmp_path / "b.html").code == Exit.WRONG_USE
    assert not (tmp_path / "b.html").exists()
