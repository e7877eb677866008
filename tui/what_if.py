"""What if the golfer stood or swung otherwise: inputs that a key moves, and what the geometry says comes of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from arclore.tui.command.page import listed, number
from arclore.tui.hand import side_for_hand
from arclore.tui.measures import measured
from arclore.tui.pictures.stroke import Stroke


@dataclass(frozen=True)
class Dial:
    """One input: its name among a cause's moves, what it is called, one step of it and the furthest it goes.

    ``minus`` and ``plus`` say which way; a dial of sides counts + to the right that this golfer sees.
    """

    input: str
    name: str
    step: float
    most: float
    unit: str
    minus: str = "left"
    plus: str = "right"

    @property
    def sided(self) -> bool:
        return self.plus == "right"

    def words(self, value: float, units: str = "metric") -> str:
        """A setting in words: "5 cm back"; "as it was" at 0."""
        if not value:
            return "as it was"
        size, unit = measured(abs(value), self.unit, units)
        return f"{round(size, 1):g} {unit} {self.plus if value > 0 else self.minus}"

    def stepped(self, value: float, by: int) -> float:
        """The setting so many steps on, kept within reach."""
        return min(max(value + by * self.step, -self.most), self.most)


BALL = Dial("ball_position_cm", "ball", 1.0, 25.0, "cm", "back", "forward")
SIDES = (
    Dial("aim_deg", "aim of all", 1.0, 20.0, "deg"),
    Dial("swing_direction_deg", "swing direction", 1.0, 20.0, "deg"),
    Dial("face_deg", "face", 1.0, 20.0, "deg"),
)
FULL = (
    BALL,
    Dial("tee_height_mm", "tee", 5.0, 60.0, "mm", "lower", "higher"),
    *SIDES,
    Dial("tilt_deg", "upper body", 1.0, 20.0, "deg", "toward the target", "away from the target"),
)
OF_CLUB = {
    "putt": (
        BALL,
        *SIDES,
        Dial("speed_percent", "speed of the head", 5.0, 50.0, "percent", "less", "more"),
        Dial("green_run_cm", "run of the green", 25.0, 150.0, "cm", "less", "more"),
    ),
    "sand": (
        BALL,
        *SIDES,
        Dial("low_point_cm", "low point against the body", 1.0, 15.0, "cm", "back", "forward"),
        Dial("arc_height_mm", "arc", 2.0, 30.0, "mm", "lower", "higher"),
    ),
}


def dials_of(club: str) -> tuple[Dial, ...]:
    """What can be moved with a club."""
    return OF_CLUB.get(club, FULL)




def change_of(settings: Mapping[str, float], handed: str) -> dict[str, float]:
    """The settings as a change of a right-hander's inputs."""
    sided = {dial.input for dial in SIDES}
    return {
        name: 0.0 - value if handed == "left" and name in sided else value for name, value in settings.items() if value
    }


def title_of(settings: Mapping[str, float], club: str, units: str = "metric") -> str:
    """What was changed: "ball 5 cm back, face 2 deg right"."""
    dials = [dial for dial in dials_of(club) if settings.get(dial.input)]
    moved = [f"{dial.name} {dial.words(settings[dial.input], units)}" for dial in dials]
    return listed(moved) or "nothing changed yet"


@dataclass(frozen=True)
class _Number:
    """A number of a stroke that may change: how it is read, its unit and decimals, and which way is which."""

    name: str
    of: Callable[[Stroke], float]
    unit: str
    minus: str
    plus: str
    digits: int = 1


AT_BALL = (
    _Number("attack", lambda s: s.attack_deg, "deg", "further down", "further up"),
    _Number("path", lambda s: s.path_deg, "deg", "toward", "away"),
    _Number("face", lambda s: s.face_deg, "deg", "toward", "away"),
    _Number("loft", lambda s: s.dynamic_loft_deg, "deg", "less", "more"),
    _Number("low point", lambda s: 100.0 * s.low_point_m, "cm", "further back", "further forward"),
)
START = _Number("start", lambda s: s.flown.start_deg, "deg", "toward", "away")
LANDED = (
    _Number("landing", lambda s: s.flown.side_m, "m", "toward", "away", 0),
    _Number("carry", lambda s: s.flown.carry_m, "m", "shorter", "longer", 0),
)
STRUCK = (
    *AT_BALL,
    _Number("strike", lambda s: 1000.0 * s.strike_up_m, "mm", "lower", "higher", 0),
    START,
    _Number("bend", lambda s: s.flown.curve_m, "m", "toward", "away", 0),
    *LANDED,
)
ROLLED = (
    *AT_BALL,
    START,
    _Number("end", lambda s: 100.0 * s.flown.side_m, "cm", "toward", "away", 0),
    _Number("roll", lambda s: 100.0 * s.flown.carry_m, "cm", "shorter", "longer", 0),
)
SPLASHED = (
    *AT_BALL,
    _Number("entry", lambda s: 100.0 * s.sand.entry_m if s.sand else 0.0, "cm", "nearer the ball", "further behind it"),
    _Number("depth", lambda s: 1000.0 * s.sand.depth_m if s.sand else 0.0, "mm", "less", "more", 0),
    START,
    *LANDED,
)
SAND_WORDS = {
    "splash": "a splash",
    "digs": "a sole that digs",
    "blade": "an edge that meets the ball",
    "miss": "a miss",
}


def changes(before: Stroke, after: Stroke, handed: str, units: str = "metric") -> list[str]:
    """The numbers that differ, in words: "attack 1.6 deg further down", and another contact."""
    told = []
    for row in ROLLED if after.rolled else SPLASHED if after.sand else STRUCK:
        difference = row.of(after) - row.of(before)
        amount, unit = measured(abs(difference), row.unit, units)
        size = number(amount, row.digits if unit == row.unit or unit == "yd" else row.digits + 1)
        if float(size):
            way = row.plus if difference > 0 else row.minus
            side = side_for_hand(way, handed)
            told.append(f"{row.name} {size} {unit} {f'further {side}' if side != way else way}")
    if before.sand is not None and after.sand is not None:
        if after.sand.result != before.sand.result:
            told.append(f"{SAND_WORDS[after.sand.result]} instead of {SAND_WORDS[before.sand.result]}")
    elif after.contact != before.contact:
        told.append(f"contact {after.contact} instead of {before.contact}")
    return told
