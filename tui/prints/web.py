"""A sheet as one HTML file that asks nothing of any other place; nothing in it is ever cut off."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from math import sqrt

from arclore.tui.prints.cards import WALL_COLUMNS, Card, Sheet

LETTER_MM2 = 0.125  # what one letter takes at 1 pt, with its share of the space around it
WALL_MM2, WALL_PT = 88_000, (11.0, 44.0)  # what the cards have of one A3 sheet; the limits of their type
POCKET_MM2, POCKET_PT = 5_200, (5.5, 9.5)  # the same of one card
TAG = re.compile(r"<[^>]*>")
COMMON = """
* { box-sizing: border-box; } body { margin: 0; color: #000; background: #fff;
  font-family: 'Source Sans 3', 'Source Sans Pro', 'DejaVu Sans', Arial, sans-serif; overflow-wrap: anywhere; }
h1, h2, p, ul, ol { margin: 0; } ul, ol { padding-left: 1.2em; } article { break-inside: avoid; }
.say { font-weight: bold; } .care { border-left: .25em solid #000; padding-left: .5em; }
.foot, .stamp { margin-top: .35em; } .foot { font-size: .6em; } .stamp { font-size: .8em; font-weight: bold; }
b { font-weight: bold; }
"""
WALL = """
@page { size: A3 landscape; margin: 12mm; }
body { font-size: %spt; line-height: 1.22; } h1 { font-size: 22pt; } header { margin-bottom: 5mm; }
header p { font-size: 13pt; } footer { font-size: 11.5pt; } main { columns: %s; column-gap: 9mm; }
article { border-top: 2px solid #000; padding: .35em 0 .6em; } h2 { font-size: 1em; font-weight: normal; }
.say { font-size: 1.25em; line-height: 1.15; margin: .15em 0 .25em; } .facts, .care { font-size: .8em; }
footer { border-top: 2px solid #000; padding-top: .3em; break-inside: avoid; }
@media screen { body { max-width: 410mm; margin: 8mm auto; padding: 0 6mm; } }
"""
POCKET = """
@page { size: A4 landscape; margin: 0; }
body { line-height: 1.2; }
main { display: grid; grid-template-columns: repeat(4, 74.2mm); grid-auto-rows: minmax(104.9mm, auto); }
article { border: .2mm dashed #777; padding: 4mm; } h2 { font-size: 1.15em; } .say { font-size: 1.3em; margin: .3em 0; }
article > * { margin-bottom: .35em; }
"""


def as_html(sheet: Sheet, form: str) -> str:
    """The sheet for the ``wall`` (one of A3, as large as it fits) or the ``pocket`` (cards of A7, eight to an A4)."""
    wall = form == "wall"
    cards = [_wall_card(card, sheet.own_care(card)) if wall else _pocket_card(card) for card in sheet.cards]
    if wall:
        columns = min(max(len(cards), 1), WALL_COLUMNS)
        style = COMMON + WALL % (_size_pt("".join(cards), WALL_MM2, WALL_PT), columns)
    else:
        style = COMMON + POCKET
        cards = [_sized(card, _size_pt(card, POCKET_MM2, POCKET_PT)) for card in cards]
    body = f"<main>\n{chr(10).join(cards) or '<p>Nothing is approved yet.</p>'}\n</main>"
    if wall:
        head = f"<header><h1>{_safe(sheet.title)}</h1><p>{_safe(sheet.about)}</p></header>"
        body = f"{head}\n{body}\n<footer>{_safe(' '.join(sheet.always))}</footer>"
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'\">"
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{_safe(sheet.title)}</title><style>{style}</style></head><body>\n{body}\n</body></html>\n"
    )


def _size_pt(text: str, area_mm2: float, limits: tuple[float, float]) -> float:
    """The size of type at which a text is about to fill an area."""
    letters = max(len(TAG.sub("", text)), 1)
    return round(min(max(sqrt(area_mm2 / (LETTER_MM2 * letters)), limits[0]), limits[1]), 1)


def _sized(article: str, size_pt: float) -> str:
    return article.replace("<article", f'<article style="font-size: {size_pt}pt"', 1)


def _wall_card(card: Card, own_care: Sequence[str]) -> str:
    facts = "".join(f"<p><b>{_safe(label)}:</b> {_safe(text)}</p>" for label, text in card.facts)
    care = f'<p class="care">{_safe(" ".join(own_care))}</p>' if own_care else ""
    return f'<article dir="auto">{_head(card)}<div class="facts">{facts}</div>{care}{_foot(card)}</article>'


def _pocket_card(card: Card) -> str:
    steps = "".join(f"<li>{_safe(step)}</li>" for step in card.steps)
    facts = "".join(f"<p><b>{_safe(label)}:</b> {_safe(text)}</p>" for label, text in (*card.facts, *card.needs))
    care = f'<p class="care">{_safe(" ".join(card.care))}</p>' if card.care else ""
    return f'<article dir="auto">{_head(card)}{care}<ol>{steps}</ol>{facts}{_foot(card)}</article>'


def _head(card: Card) -> str:
    return f'<h2>{_safe(card.title)}</h2><p class="say">{_safe(card.say)}</p>'


def _foot(card: Card) -> str:
    return f'<p class="foot">{_safe(card.foot)}</p>' if card.approved else f'<p class="stamp">{_safe(card.foot)}</p>'


def _safe(text: str) -> str:
    return escape(text)
