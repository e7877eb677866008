"""``arclore predict`` draws: in the terminal, into a file, one swing against another, for either hand."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from arclore.tui.command import main
from arclore.tui.command.mirror import SIDED_FLAGS

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def predict(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Run:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("COLUMNS", "40")  # one panel under another: sentences stay whole

    def call(*arguments: str) -> tuple[int, str, str]:
        capsys.readouterr()
        code = main(["predict", *arguments])
        return (code, *capsys.readouterr())

    return call


def test_two_clubs_and_their_set_ups_exchanged(predict: Run, tmp_path: Path) -> None:
    file = tmp_path / "two.svg"
    code, out, _ = predict(
        "--club", "7-iron", "--against", "driver", "--exchange-set-ups", "--picture", "--ascii", "--svg", str(file)
    )
    assert code == 0 and out.isascii()
    own, _, swapped = " ".join(out.split()).partition("each club from the other's set-up")
    assert "arc bottomed out 9 cm past the ball" in own and "4 cm short of the ball" in own
    assert "7-iron: the arc bottomed out 12 cm short of the ball" in swapped
    shown = "".join(ElementTree.parse(file).getroot().itertext())
    assert "7-iron beside driver" in shown and "each club from the other's set-up" in shown


def test_one_club_against_a_change(predict: Run) -> None:
    code, out, _ = predict("--club", "driver", "--against", "ball-position-cm=-9", "--picture", "--ascii")
    words = " ".join(out.split())
    assert code == 0
    assert "Driver: the arc bottomed out 4 cm short of the ball" in words
    assert "Driver, changed: the arc bottomed out 6 cm past the ball" in words


def test_json_goes_with_a_file_and_stays_as_it_was(predict: Run, tmp_path: Path) -> None:
    alone = predict("--club", "wedge", "--json")
    drawn = predict("--club", "wedge", "--json", "--svg", str(tmp_path / "wedge.svg"))
    assert alone == drawn and (tmp_path / "wedge.svg").is_file()


def test_the_pictures_and_the_numbers_are_of_one_shot(predict: Run) -> None:
    numbers = ("--club", "7-iron", "--swing-direction-deg", "-6", "--face-deg", "1", "--wind-across-mps", "4")
    shot = json.loads(predict(*numbers, "--json")[1])
    words = " ".join(predict(*numbers, "--picture", "--ascii")[1].split())
    assert f"going {-shot['path_deg']:.1f} deg left" in words
    assert f"{shot['carry_m']:.0f} m out, {shot['side_m']:.0f} m right" in words


def test_a_left_hander_is_the_mirror_image(predict: Run) -> None:
    right = json.loads(predict("--face-deg", "3", "--aim-deg", "-2", "--ball-position-cm", "4", "--json")[1])
    left = json.loads(
        predict("--handed", "left", "--face-deg", "-3", "--aim-deg", "2", "--ball-position-cm", "4", "--json")[1]
    )
    for name in ("path_deg", "face_deg", "start_deg", "side_m", "curve_m", "axis_tilt_deg", "low_point_right_cm"):
        assert left[name] == -right[name], name
    for name in ("carry_m", "attack_deg", "low_point_cm", "strike_toe_mm", "backspin_rpm", "launch_deg"):
        assert left[name] == right[name], name
    assert "face_deg" in SIDED_FLAGS
    words = " ".join(predict("--handed", "left", "--face-deg", "-3", "--picture", "--ascii")[1].split())
    assert "looked 3.0 deg left of the target, 3.0 deg open" in words


def test_the_ball_alone_and_a_bare_delivery(predict: Run) -> None:
    code, out, _ = predict("--ball-speed-mps", "60", "--launch-deg", "14", "--landing-slope-deg", "4", "--picture")
    assert code == 0 and "The ball started straight at the target" in " ".join(out.split())
    code, out, _ = predict("--head-mass-kg", "0.2", "--dynamic-loft-deg", "20", "--speed-mps", "40", "--picture")
    assert code == 0 and "going straight at the target" in " ".join(out.split()) and "lead heel" not in out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--against", "driver"), "add --picture or --svg"),
        (("--exchange-set-ups",), "needs a second club"),
        (("--picture", "--json"), "both go to stdout"),
        (("--picture", "--against", "driver"), "is the club itself"),
        (("--picture", "--against", "7-iron", "wedge"), "2 clubs; name one"),
        (("--picture", "--against", "7-irn"), "nearest: 7-iron"),
        (("--picture", "--against", "aim-dge=2"), "nearest: aim-deg"),
        (("--picture", "--against", "aim-deg=nan"), "not a finite number"),
        (("--picture", "--against", "aim-deg=999"), "give a number from"),
        (("--picture", "--against", "7-iron", "--attack-deg", "3"), "leave the numbers of delivery and head out"),
        (("--picture", "--ball-speed-mps", "60", "--launch-deg", "9", "--against", "driver"), "the ball alone"),
        (("--handed", "\x1b[31m"), "is none of right, left"),
        (("--units", "feet"), "is none of metric, yards"),
        (("--svg", "/dev/null"), "is no file"),
        (("--svg", "/no-such-folder/x.svg"), "there is no folder"),
    ],
)
def test_wrong_use_is_one_clear_line(predict: Run, arguments: tuple[str, ...], said: str) -> None:
    code, out, err = predict(*arguments)
    assert code == 2 and out == ""
    assert said in err and err.count("\n") == 1 and "\x1b" not in err


def test_only_ascii_where_the_locale_is_c() -> None:
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("LC_", "LANG"))}
    command = [sys.executable, "-m", "arclore.tui", "predict", "--picture"]
    done = subprocess.run(command, env={**environment, "LANG": "C"}, capture_output=True, timeout=60, check=True)
    assert len(done.stdout) > 2000 and max(done.stdout) < 128
    done = subprocess.run(
        command, env={**environment, "LANG": "C.UTF-8", "TERM": "xterm"}, capture_output=True, timeout=60, check=True
    )
    assert any("\u2800" <= sign <= "\u28ff" for sign in done.stdout.decode("utf-8"))
