"""What a picture says in words: where the club was going, where it looked, where it bottomed out, and after.

Every figure stands inside a sentence. Left and right are this golfer's: the numbers are a right-hander's and
are turned here, once.
"""

from __future__ import annotations

from collections.abc import Callable

from arclore.engine.geometry.strike import MIDDLE_SHARE, SOIL_M
from arclore.engine.quantities import Handed
from arclore.tui.command.page import number, sentence
from arclore.tui.hand import side_for_hand
from arclore.tui.pictures.stroke import Flown, Rolled, Sand, Stance, Stroke
from arclore.tui.units import METRIC, Units

Sentence = Callable[[Stroke, Handed, Units], str]
SMALL_DEG = 0.05  # shown as 0.0: no side is named
SMALL_M = 0.0005
LEAST_PAST_M = 0.05  # of a putt's pace: less is as far as the hole
KINDS = {
    "thin": ", with the lower edge",
    "top": ", over its top",
    "sky": ", with the upper edge",
    "fat": ", after turf",
}


def opening(of: Stroke | Flown) -> str:
    """The beginning of a sentence, up to its "the": with the label where there is one."""
    return f"{of.label[:1].upper()}{of.label[1:]}: the" if of.label else "The"


def side(value: float, handed: Handed) -> str:
    """The side of the target line that a signed number lies on, for this golfer."""
    return side_for_hand("away" if value > 0 else "toward", handed)


def direction(angle_deg: float, handed: Handed) -> str:
    """A direction against the target: "2.1 deg left of the target" or "straight at the target"."""
    if abs(angle_deg) < SMALL_DEG:
        return "straight at the target"
    return f"{number(abs(angle_deg))} deg {side(angle_deg, handed)} of the target"


def face_to_path(stroke: Stroke) -> str:
    """How the face looked against the way the club was going."""
    angle = stroke.face_deg - stroke.path_deg
    if abs(angle) < SMALL_DEG:
        return "square to that"
    return f"{number(abs(angle))} deg {'open' if angle > 0 else 'closed'} to that"


def going_and_looking(stroke: Stroke, handed: Handed, units: Units = METRIC) -> str:
    """Where the club was going and where it looked; how hitting up or down turned the swing's direction."""
    path, base = stroke.path_deg, stroke.swing_direction_deg
    turned = path - base
    why = f"The swing itself pointed {direction(base, handed)}"
    if abs(turned) >= SMALL_DEG:
        lie = "before" if stroke.low_point_m > 0 else "after"
        why += (
            f"; meeting the ball {lie} the low point turned the club {number(abs(turned))} deg to the "
            f"{side(turned, handed)} of that"
        )
    going = f"{opening(stroke)} club was going {direction(path, handed)}"
    return f"{going} and looked {direction(stroke.face_deg, handed)}, {face_to_path(stroke)}. " + sentence(why)


def bottom(stroke: Stroke, handed: Handed, units: Units = METRIC) -> str:
    """Where the arc bottomed out, which way the club moved through the ball, and what the turf got."""
    low, attack = stroke.low_point_m, stroke.attack_deg
    if abs(low) < SMALL_M * 10:
        place = "level with the ball"
    else:
        place = f"{units.ground.of(low)} {'past' if low > 0 else 'short of'} the ball"
    if abs(attack) < SMALL_DEG:
        moving = "was level through the ball"
    else:
        moving = f"was moving {'up' if attack > 0 else 'down'} by {number(abs(attack))} deg"
    told = f"{opening(stroke)} arc bottomed out {place}, so the club {moving}."
    if stroke.rolled is not None:
        return f"{told} {_roll(stroke.flown, stroke.rolled, handed, units)}"
    if stroke.sand is not None:
        return f"{told} {sentence(_sand(stroke.sand, units))}"
    return told if stroke.stance is None else f"{told} {sentence(_ground(stroke, stroke.stance, units))}"


def _roll(ball: Flown, rolled: Rolled, handed: Handed, units: Units) -> str:
    """What a putted ball did, and on what green."""
    if rolled.distance_m <= 0.0:
        return "The head missed the ball."
    past = rolled.distance_m - rolled.hole_m
    pace = "level with the hole"
    if abs(past) >= LEAST_PAST_M:
        pace = f"{units.ground.of(abs(past))} {'past' if past > 0 else 'short of'} the hole"
    off = units.ground.of(abs(rolled.side_m))
    line = "on the line" if abs(rolled.side_m) < 10 * SMALL_M else f"{off} {side(rolled.side_m, handed)} of the line"
    return (
        f"The ball started {direction(ball.start_deg, handed)}, slid for {units.ground.of(rolled.slid_m)} before it "
        f"rolled and stopped {pace}, {line}, on a level green where a ball runs {units.height.of(rolled.green_run_m)} "
        "from the ramp."
    )


def _sand(sand: Sand, units: Units) -> str:
    if sand.result == "miss":
        return "the head missed the ball"
    if sand.result == "blade":
        return "the edge met the ball before there was sand beneath it, and the ball flies low and far"
    carried = {
        "splash": "the face did not touch the ball: the sand between carried it out",
        "digs": "so much sand lay between that the ball stays in or near",
    }[sand.result]
    out = sand.mark_m - sand.entry_m
    return (
        f"the sole went into the sand {units.ground.of(sand.entry_m)} before the ball, ran "
        f"{units.face.of(sand.depth_m)} deep and came out {units.ground.of(abs(out))} "
        f"{'after' if out > 0 else 'before'} it; {carried}"
    )


def _ground(stroke: Stroke, stance: Stance, units: Units) -> str:
    if stroke.missed:
        return "the head missed the ball"
    if stance.turf != "none":
        start = stance.turf_start_m
        where = f"{units.ground.of(start)} {'after' if start > 0 else 'before'} the ball"
        return (
            f"turf was met {'at the ball' if abs(start) < 10 * SMALL_M else where} and cut "
            f"{units.face.of(stance.turf_depth_m)} deep"
        )
    if stance.arc_height_m > SOIL_M:
        tee = f", the ball {units.face.of(stance.tee_height_m)} up on its tee" if stance.tee_height_m else ""
        return f"the sole stayed {units.face.of(stance.arc_height_m)} over the ground{tee}"
    return "the grass was brushed at most"


def strike(stroke: Stroke, handed: Handed, units: Units = METRIC) -> str:
    """Where on the face the ball was met, in words first."""
    if stroke.missed:
        return f"{opening(stroke)} head missed the ball."
    toe, up = stroke.strike_toe_m, stroke.strike_up_m
    parts = [
        f"{units.face.of(value)} {plus if value > 0 else minus}"
        for value, plus, minus in ((toe, "toward the toe", "toward the heel"), (up, "up", "down"))
        if abs(value) >= SMALL_M
    ]
    exact = f"{' and '.join(parts)} from its middle" if parts else "dead centre"
    kind = KINDS.get(stroke.contact, "")
    return f"{opening(stroke)} ball met the face {part_of_face(stroke)}{kind}, {exact}."


def part_of_face(stroke: Stroke) -> str:
    """Heel, middle or toe by low, middle or high, as a coach says it; the middle is a third of the way out."""
    head = stroke.head
    if stroke.strike_toe_m < -head.heel_edge_m:
        return "on the neck of the club"
    across = _third(stroke.strike_toe_m, head.toe_edge_m, head.heel_edge_m, "on the toe", "on the heel")
    height = _third(stroke.strike_up_m, head.face_half_height_up_m, head.face_half_height_down_m, "high", "low")
    if across:
        return f"{height or 'at middle height'} {across}"
    return f"{height} in the middle" if height else "in the middle"


def _third(value: float, plus_edge: float, minus_edge: float, plus: str, minus: str) -> str:
    """The word for the outer two thirds of the way to an edge, "" for the middle."""
    if value > MIDDLE_SHARE * plus_edge:
        return plus
    return minus if value < -MIDDLE_SHARE * minus_edge else ""


def start_and_curve(flown: Flown, handed: Handed, units: Units = METRIC) -> str:
    """Where the ball started, which way it bent and where it came down, from above."""
    if flown.carry_m <= 0.0:
        return f"{opening(flown)} ball did not fly{_along_ground(flown, handed, units)}."
    bend = units.distance.of(flown.curve_m)
    bent = "held its line" if bend.startswith("0 ") else f"bent {bend} to the {side(flown.curve_m, handed)}"
    return (
        f"{opening(flown)} ball started {direction(flown.start_deg, handed)}, {bent} and landed "
        f"{units.distance.of(flown.carry_m)} out, {off_line(flown, handed, units)}."
    )


def _along_ground(flown: Flown, handed: Handed, units: Units) -> str:
    if flown.ball_speed_mps <= 0.0:
        return ""
    return f" but ran {units.distance.of(flown.rest[0])} along the ground, {direction(flown.start_deg, handed)}"


def off_line(flown: Flown, handed: Handed, units: Units = METRIC) -> str:
    """How far from the target line the ball landed."""
    off = units.distance.of(flown.side_m)
    return "on the target line" if off.startswith("0 ") else f"{off} {side(flown.side_m, handed)}"


def height(flown: Flown, handed: Handed, units: Units = METRIC) -> str:
    """Launch, apex, landing and run, from the side."""
    if flown.ball_speed_mps <= 0.0:
        return f"{opening(flown)} ball stayed where it lay."
    if flown.carry_m <= 0.0:
        return f"{opening(flown)} ball left along the ground at {units.speed.of(flown.ball_speed_mps)}."
    run = flown.rest[0] - flown.carry_m
    ran = units.distance.of(run)
    onward = "stopped there" if ran.startswith("0 ") else f"{'ran on' if run > 0 else 'came back'} {ran}"
    return (
        f"{opening(flown)} ball left at {units.speed.of(flown.ball_speed_mps)}, {number(flown.launch_deg)} deg up "
        f"with {flown.backspin_rpm:.0f} rpm of backspin, climbed {units.height.of(flown.apex_m)}, came down at "
        f"{number(flown.landing_deg, 0)} deg after {units.distance.of(flown.carry_m)} and {onward}."
    )
