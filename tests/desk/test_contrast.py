"""Every screen in both themes, in colour and without: all text keeps a contrast of 7:1, computed from what is drawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from arclore.tui.desk import Desk
from arclore.tui.themes import SUN, THEMES
from textual.color import Color
from textual.theme import Theme

from tests.desk.fakes import OPEN, answer, cause, settled

Make = Callable[..., Desk]
LEAST = 7.0  # of text
LEAST_LINE = 3.0  # of lines and frames, which carry no text (WCAG 2.2, success criterion 1.4.11)
LINES = {chr(code) for code in range(0x2500, 0x25A0)} | {" "}
TONES = ("foreground", "primary", "secondary", "accent", "warning", "error", "success")
GROUNDS = ("background", "surface", "panel")
BACK = "to the first question"
WALK = {
    "safety": "",
    "clubs": OPEN.removesuffix(" enter"),
    "flight": "enter 1 5",
    "ranking": "r down",
    "why": "e",
    "drill": "d",
    "picture": "p",
    "check": "escape c",
    "help": "question_mark",
    "words": "escape w",
    "what if": "escape i 1 right",
    "student": "escape v",
    "page": "escape o",
    "fields": "f",
    "library": "escape escape l",
    "balls": "escape t 1 1 1",
    "lessons": "escape L",
    "keys": "escape K",
    "palette": "escape ctrl+p",
    "a refusal": f"escape {BACK} s",
    "stop": "y",
}
"""A screen's name, and the keys that lead to it from the screen before."""
SCREENS = 12  # that are screens of their own; the rest are states of the lesson's


def relative_luminance(colour: Any) -> float:
    """Relative luminance as WCAG 2.2 defines it (W3C 2023, section "relative luminance")."""
    parts = [part / 255 for part in colour]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: Any, other: Any) -> float:
    """Contrast ratio as WCAG 2.2 defines it (W3C 2023, section "contrast ratio")."""
    light, dark = sorted((relative_luminance(one), relative_luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def drawn(app: Desk) -> Iterator[tuple[float, str]]:
    """Of every text and line on the screen: its contrast with its ground, as a share of the one it must have."""
    for strip in app.screen._compositor.render_strips():
        for segment in strip:
            style = segment.style
            if segment.text.strip() and style is not None and style.color and style.bgcolor:
                found = contrast(style.color.get_truecolor(), style.bgcolor.get_truecolor())
                yield found / (LEAST_LINE if set(segment.text) <= LINES else LEAST), segment.text


def test_the_formula_gives_the_ratios_that_its_standard_names() -> None:
    """Black on white is 21:1, equal colours 1:1 (WCAG 2.2, section "contrast ratio")."""
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21.0)
    assert contrast((119, 119, 119), (119, 119, 119)) == 1.0


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_every_tone_of_a_theme_stands_out_from_every_ground(theme: Theme) -> None:
    grounds = [getattr(theme, name) for name in GROUNDS] + [theme.variables["block-cursor-background"]]
    for tone in TONES:
        for ground in grounds:
            assert contrast(Color.parse(getattr(theme, tone)).rgb, Color.parse(ground).rgb) >= LEAST, (tone, ground)


@pytest.mark.parametrize(("given", "none"), [("", False), ("1", True)])
def test_no_color_counts_where_it_is_not_empty(
    desk: Make, given: str, none: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", given)
    assert desk().no_color == none


@pytest.mark.parametrize(("no_color", "steps"), [(False, len(WALK)), (True, 6)])
async def test_all_text_on_every_screen_keeps_the_contrast(
    desk: Make, no_color: bool, steps: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    if no_color:
        monkeypatch.setenv("NO_COLOR", "1")
    app = desk(lambda case: answer(cause("stance", 0.5), cause("grip", 0.2, stage="downswing"), need_balls=2))
    seen = set()
    async with app.run_test(size=(120, 40), notifications=True) as pilot:
        await settled(pilot)
        for number, (name, typed) in enumerate(list(WALK.items())[:steps]):
            before, back, after = typed.partition(BACK)
            await pilot.press(*before.split())
            if back:
                app.lesson_screen.flow.go_to("safety:0")
            await pilot.press(*after.split())
            await settled(pilot)
            for theme in THEMES if number % 2 else (SUN,):
                app.theme = theme.name
                await pilot.pause()
                share, text = min(drawn(app))
                assert share >= 1.0, (theme.name, name, text)
            seen.add(type(app.screen).__name__)
    assert len(seen) == (SCREENS if steps == len(WALK) else 1)
