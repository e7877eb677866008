"""A check at the desk: what must be in sight is, whichever is asked for comes first, and it is called what it is."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from arclore.engine.library.read import read_yaml
from arclore.engine.library.stack import BUILT_IN
from arclore.tui.desk import Desk
from arclore.tui.questions import check_question
from arclore.tui.widgets.check_sheet import LEAST_ROWS, MARGIN_ROWS, CheckSheet

from tests.desk.fakes import OPEN, answer, cause, check_row, column_text, keys, settled, shown

Make = Callable[..., Desk]
LONG = "how the feet stand is looked at from behind the line and then from the front "


def two_on_offer(case: Any) -> dict[str, Any]:
    rows = [check_row(title="the feet are looked at"), {**check_row(title="the hands are felt"), "id": "feel"}]
    return answer(cause("stance", 0.5), next_checks=rows)


def with_two_checks(app: Desk) -> None:
    library = app.thinker.load()
    library.library.checks["feel"] = {**library.library.checks["look"], "title": "the hands are felt"}
    app.thinker.load = lambda: library  # type: ignore[method-assign]


async def test_a_check_keeps_question_results_and_cautions_in_sight(desk: Make) -> None:
    app = desk(title=LONG * 3)
    async with app.run_test(size=(80, 24)) as pilot:
        await settled(pilot)
        rows = shown(app).splitlines()
        place = next(y for y, row in enumerate(rows) if "0 not sure" in row)
        assert "1/n no" in rows[place - 2]  # one empty line between answers and "not sure"
        check = app.lesson_screen.flow.checks["look"]
        check.update(  # type: ignore[attr-defined]
            asks="How far apart are the feet?",
            results=[{"id": x, "when": f"as {x} as that", "means": LONG} for x in ("wide", "narrow", "usual")],
            cautions=["Nobody stands in front."],
        )
        await keys(pilot, OPEN + " c")
        for size in ((80, 24), (120, 30)):
            await pilot.resize_terminal(*size)
            await settled(pilot)
            for part in ("How far apart are the feet?", "as wide", "as narrow", "3 as usual", "Nobody stands in"):
                assert part in shown(app)
            await keys(pilot, "pagedown")
            assert app.lesson_screen.query_one("#check-how").scroll_y > 0
        sheet = app.lesson_screen.query_one(CheckSheet)
        for path in sorted((BUILT_IN / "checks").glob("*.yaml"))[::8]:
            document, _ = read_yaml(path)
            assert document is not None
            question = check_question("c", document.value, "right")
            sheet.show(question, "", (), question.cautions or app.lesson_screen.safety.cautions, "")
            for width, rows_left in ((78, 18), (36, 26)):  # of a pane at 80 x 24 and of one at 120 x 30
                sheet.fit(width, rows_left)
                assert sheet.always(width) + MARGIN_ROWS + LEAST_ROWS <= rows_left, question.short
        await keys(pilot, "3")
        assert app.lesson_screen.flow.lesson.answers["check:look"] == "usual"


async def test_the_first_press_shows_the_first_check_or_drill_and_the_next_one_another(desk: Make) -> None:
    """Where a pane is in sight already, and where it is one key away; a check is called what it is."""
    app = desk(two_on_offer)
    with_two_checks(app)
    async with app.run_test(size=(160, 50)) as pilot:
        await settled(pilot)
        flow, screen = app.lesson_screen.flow, app.lesson_screen
        await keys(pilot, OPEN)
        for _ in range(6):  # every question passed over, so that a check stands
            flow.wave("skipped")
        screen.changed()
        await keys(pilot, "d")
        assert screen.drill_shift == 0
        await keys(pilot, "d")
        assert screen.drill_shift == 1
        await keys(pilot, "j d")
        assert screen.drill_shift == 0
        await keys(pilot, "c")
        assert flow.current == "check:look"
        assert "Next check: the feet are looked at" in " ".join(column_text(app).split())
        await keys(pilot, "c")
        assert flow.current == "check:feel"
        text = " ".join(column_text(app).split())
        assert "Check 2 of 2 on offer: the hands are felt" in text and "Next check: the hands" not in text
        await pilot.resize_terminal(80, 24)
        await settled(pilot)
        await keys(pilot, "r c")  # from another pane it is shown again first
        assert flow.current == "check:feel" and screen.view == "question"
        await keys(pilot, "c 1 d")
        assert (screen.drill_shift, screen.view) == (0, "drill")
        flow.go_to("check:look")
        await keys(pilot, "escape")
        assert "Check, done: the feet are looked at" in shown(app)
