"""The set-up sheet, and the check of a library."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from arclore.engine.library.stack import BUILT_IN
from arclore.tui.command.exits import Exit

from tests.command.running import Run


def test_the_sheet_is_the_geometry_of_its_own_numbers(run: Run) -> None:
    for row in (run("setup", club, "--json").json["clubs"][0] for club in ("driver", "7-iron", "wedge")):
        a, t = math.radians(row["attack_deg"]), math.radians(row["plane_deg"])
        assert row["path_shift_deg"] == pytest.approx(-math.degrees(math.asin(math.tan(a) / math.tan(t))), abs=1e-3)
        assert row["straight_swing_direction_deg"] == -row["path_shift_deg"]
        low = -100 * row["arc_radius_m"] * math.sin(a) / math.sin(t)
        assert row["low_point_cm"] == pytest.approx(low, abs=1e-2)
        assert row["low_point_body_cm"] == pytest.approx(low + row["ball_position_cm"], abs=1e-2)


def test_a_left_hander_gets_the_mirrored_sheet(run: Run) -> None:
    right = run("setup", "driver", "7-iron", "--json").json
    left = run("setup", "driver", "7-iron", "--handed", "left", "--json").json
    sided = ("path_shift_deg", "straight_swing_direction_deg")
    for one, other in zip(right["clubs"], left["clubs"], strict=True):
        assert {name: -other[name] if name in sided else other[name] for name in other} == one
    assert left["between"]["path_shift_deg"] == -right["between"]["path_shift_deg"]
    assert "lead (right) heel" in run("setup", "driver", "--handed", "left").out


def test_the_body_grows_and_the_club_does_not(run: Run) -> None:
    small = run("setup", "7-iron", "--height-cm", "150", "--json").json["clubs"][0]
    tall = run("setup", "7-iron", "--height-cm", "200", "--json").json["clubs"][0]
    assert tall["stance_width_cm"] / small["stance_width_cm"] == pytest.approx(200 / 150, rel=1e-3)
    assert tall["arc_radius_m"] > small["arc_radius_m"]
    assert (tall["plane_deg"], tall["handle_cm"]) == (small["plane_deg"], small["handle_cm"])


def test_two_clubs_are_set_side_by_side(run: Run) -> None:
    text = " ".join(run("setup", "driver", "7-iron").out.split())
    assert "From the driver to the 7-iron" in text
    assert "further back" in text
    assert "No tee" in text
    assert "The tee lifts the ball" in text


def test_the_built_in_library_is_sound(run: Run) -> None:
    done = run("library", "check", str(BUILT_IN), "--json")
    assert done.json["problems"] == []
    assert done.code == Exit.DONE
    assert done.json["entries"]["causes"] >= 40


def test_every_problem_of_a_library_is_a_sorted_row(run: Run, tmp_path: Path) -> None:
    causes = tmp_path / "causes"
    causes.mkdir()
    (causes / "b.yaml").write_text("schema: 1\nkind: cause\nid: b\n", encoding="utf-8")
    (causes / "a.yaml").write_text("amends: stands-too-clos\ntitle: nearer\n", encoding="utf-8")
    (causes / "c.yaml").write_text("amends: stands-too-close\nexclusive_with: [no-such-cause]\n", encoding="utf-8")
    (tmp_path / "coses").mkdir()
    done = run("library", "check", str(tmp_path))
    rows = [line for line in done.out.splitlines() if ".yaml:" in line or "coses:" in line]
    assert done.code == Exit.PROBLEMS
    assert rows == sorted(rows, key=lambda row: row.split(":")[0])
    text = "\n".join(rows)
    for code in ("missing-field", "unknown-id", "folder"):
        assert f": {code}: " in text
    assert "nearest: stands-too-close" in text
    told = run("library", "check", str(tmp_path), "--json").json
    assert sum(told["counts"].values()) == len(told["problems"])
    assert [row["path"] for row in told["problems"]] == sorted(row["path"] for row in told["problems"])
    assert f"{len(told['problems'])} problems: " in done.out


def test_a_library_alone_stands_on_its_own(run: Run, tmp_path: Path) -> None:
    (tmp_path / "causes").mkdir()
    (tmp_path / "causes" / "stands-too-close.yaml").write_text(
        "amends: stands-too-close\ntitle: nearer\n", encoding="utf-8"
    )
    assert run("library", "check", str(tmp_path)).code == Exit.DONE
    assert run("library", "check", str(tmp_path), "--alone").code == Exit.PROBLEMS
