"""The numbers of one shot for ``predict``: from what was stated to one flat record with unit in every name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields, replace
from typing import Any

import numpy as np
from arclore.engine.geometry import arc, strike
from arclore.engine.geometry.air import Air, standard_air
from arclore.engine.geometry.ball import SPIN_DECAY_PER_M
from arclore.engine.geometry.check import LIMITS
from arclore.engine.geometry.club import Club, Head
from arclore.engine.geometry.flight import fly
from arclore.engine.geometry.ground import run_out
from arclore.engine.geometry.impact import Impact, contact_normal, dot, impact, velocity_in_face
from arclore.engine.geometry.inverse import arc_radius_from_pair
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import fault_free, shot
from arclore.engine.geometry.strike import CONTACTS, TURFS
from arclore.engine.quantities import BALL_RADIUS_M, plain
from arclore.tui.command.stated import Stated

DIGITS = 7
OF_BALL = ("ball_speed_mps", "launch_deg", "start_deg", "backspin_rpm", "axis_tilt_deg")
IN_FLIGHT = ("carry_m", "side_m", "curve_m", "apex_m", "apex_x_m", "time_s", "landing_deg", "landing_speed_mps")
OF_CLUB = (
    "swing_direction_deg",
    "plane_deg",
    "arc_radius_m",
    "arc_angle_deg",
    "attack_deg",
    "path_shift_deg",
    "path_deg",
    "low_point_cm",
    "low_point_body_cm",
    "low_point_below_cm",
    "low_point_ahead_cm",
    "low_point_right_cm",
    "straight_swing_direction_deg",
    "plane_seen_deg",
    "face_deg",
    "face_to_path_deg",
    "dynamic_loft_deg",
    "speed_mps",
    "arc_height_mm",
    "strike_toe_mm",
    "strike_up_mm",
    "face_part",
    "contact",
    "turf",
    "turf_depth_cm",
    "turf_start_cm",
    "turf_end_cm",
    "turf_before_cm",
    "incidence_deg",
    "normal_speed_mps",
    "restitution",
    "friction",
    "tangential_restitution",
    "sliding",
    "rifle_spin_rpm",
    "energy_lost_j",
    "head_speed_after_mps",
    "speed_ratio",
)


def played(stated: Stated, club: Club | None) -> dict[str, Any]:
    """One shot as plain numbers; what a shot said by the ball alone has no word on is None.

    ``club`` is None for the ball alone only. Raises ValueError in one line for a shot that makes no sense.
    """
    if club is None:
        struck: dict[str, Any] = {}
        ball = {name: stated.ball.get(name, 0.0) for name in OF_BALL}
    else:
        struck = _delivered(stated, club) if stated.by_delivery else _stood(stated, club)
        ball = {name: float(struck.pop(name)) for name in OF_BALL}
    record = {
        "club": None if club is None else club.id,
        "level": None if club is None else stated.level,
        **{name: struck.get(name) for name in OF_CLUB},
        **ball,
        **_flown(stated, ball),
        "model_error": {"angle_deg": arc.MODEL_ERROR_DEG, "low_point_cm": arc.MODEL_ERROR_M * 100.0},
    }
    result: dict[str, Any] = plain({name: _number(value) for name, value in record.items()}, DIGITS)
    return result


def _number(value: Any) -> Any:
    return value.item() if isinstance(value, (np.ndarray, np.generic)) else value


# --- a swing in a set-up ---------------------------------------------------------------------------------


def _stood(stated: Stated, club: Club) -> dict[str, Any]:
    """The swing of the level, as changed, played in the standard set-up, as changed."""
    head = _head(stated, club.head)
    club = replace(club, head=head)
    swing = replace(fault_free(club, stated.level), **{**stated.swing, **stated.body})
    set_up: SetUp = replace(club.standard, **stated.set_up)
    result = shot(swing, set_up, club, flight=False)
    values = {field.name: getattr(result, field.name) for field in fields(result)}
    return {
        **_of_arc(
            *(
                float(values[n])
                for n in ("swing_direction_deg", "attack_deg", "low_point_m", "arc_radius_m", "plane_deg")
            )
        ),
        **_of_face(values, head),
        **_of_turf(values),
        **{name: values[name] for name in ("path_deg", *OF_BALL, "normal_speed_mps", "incidence_deg")},
        "low_point_body_cm": (values["low_point_m"] + set_up.ball_position_m) * 100.0,
        "arc_height_mm": values["arc_height_m"] * 1e3,
        "contact": CONTACTS[int(values["contact"])],
        "restitution": values["restitution"],
        "friction": head.friction,
        "tangential_restitution": head.tangential_restitution,
        "sliding": values["sliding"],
        "speed_ratio": values["ball_speed_mps"] / values["speed_mps"],
    }


# --- what the club delivers ------------------------------------------------------------------------------


def _delivered(stated: Stated, club: Club) -> dict[str, Any]:
    """A delivery as stated, straight into the impact; left out things are the club's or neutral."""
    named = stated.club is not None
    usual = fault_free(club, stated.level)
    given, swing = stated.delivered, stated.swing
    plane = swing.get("plane_deg", club.plane_deg)
    radius = swing.get("arc_radius_m") or _radius(given, plane, club)
    attack = given.get("attack_deg")
    if attack is None and "low_point_m" in given:
        attack = _on_arc(arc.attack_from_low_point(given["low_point_m"], radius, plane), "low_point_cm", plane)
    if attack is None:
        attack = club.delivery[stated.level].attack_deg if named else 0.0
    shift = _on_arc(arc.path_shift_deg(attack, plane), "attack_deg", plane)
    direction = swing.get("swing_direction_deg")
    if direction is None:
        path = given.get("path_deg", None if named else 0.0)
        direction = float(usual.swing_direction_deg) if path is None else path - shift
    values: dict[str, float] = {
        "speed_mps": swing.get("speed_mps", float(usual.speed_mps)),
        "attack_deg": attack,
        "path_deg": given.get("path_deg", direction + shift),
        "face_deg": swing.get("face_deg", 0.0),
        "dynamic_loft_deg": given.get("dynamic_loft_deg", float(usual.loft_deg)),
        "strike_toe_m": swing.get("strike_toe_m", 0.0),
        "strike_up_m": given.get("strike_up_m", 0.0),
    }
    real = named or "head_mass_kg" not in stated.head
    head = _head(stated, club.head if real else _plain_head(club))
    struck, restitution = _hit(stated, head, values)
    low_point = float(arc.low_point_from_attack(attack, radius, plane))
    met = float(struck.normal_speed_mps) > 0.0
    result = {
        **_of_arc(direction, attack, low_point, radius, plane),
        "path_deg": values["path_deg"],
        **_of_face(values, head),
        **{name: getattr(struck, name) if met else 0.0 for name in (*OF_BALL, "normal_speed_mps", "rifle_spin_rpm")},
        "contact": "clean" if met else "miss",
        "incidence_deg": struck.incidence_deg,
        "restitution": restitution,
        "friction": head.friction if np.isfinite(head.friction) else None,
        "tangential_restitution": head.tangential_restitution,
        "sliding": struck.sliding,
        "energy_lost_j": struck.energy_lost_j if met else 0.0,
        "head_speed_after_mps": np.sqrt(dot(struck.head_velocity_mps, struck.head_velocity_mps)),
        "speed_ratio": struck.ball_speed_mps / values["speed_mps"] if met else 0.0,
    }
    if real and met:
        result |= _on_ground(values, low_point, radius, plane, club, struck)
    return result


def _radius(given: Mapping[str, float], plane: float, club: Club) -> float:
    """The arc's radius: that of attack and low point where both were measured, else the club's."""
    if not {"attack_deg", "low_point_m"} <= set(given):
        return club.arc_radius_m
    radius = float(arc_radius_from_pair(given["attack_deg"], given["low_point_m"], plane))
    low, high, *_ = LIMITS["arc_radius_m"]
    if not low <= radius <= high:
        told = f"their arc has a radius of {radius:.2g} m, outside {low:g} to {high:g}; measure one of them again"
        raise ValueError(f"--attack-deg, --low-point-cm: {told}")
    return radius


def _on_arc(angle: Any, name: str, plane: float) -> float:
    if not np.isfinite(angle):
        raise ValueError(f"--{name.replace('_', '-')}: no arc of this radius in a plane of {plane:g} deg has it")
    return float(angle)


def _head(stated: Stated, head: Head) -> Head:
    """The head with what was stated; a stated mass, inertia or depth counts strikes from the centre of mass."""
    own: dict[str, Any] = {name.removeprefix("head_"): value for name, value in stated.head.items()}
    if stated.inertia_kgm2:
        own["inertia_kgm2"] = stated.inertia_kgm2
    if {"mass_kg", "inertia_kgm2", "depth_m"} & set(own):
        own |= {"mass_centre_toe_m": 0.0, "mass_centre_up_m": 0.0}
    return replace(head, **own)


def _plain_head(club: Club) -> Head:
    """A head that is nothing but a mass: flat, unable to turn, gripping; its edges are the club's."""
    return replace(
        club.head,
        inertia_kgm2=(np.inf, np.inf, np.inf),
        depth_m=0.0,
        bulge_m=np.inf,
        roll_m=np.inf,
        friction=np.inf,
        tangential_restitution=0.0,
    )


def _hit(stated: Stated, head: Head, values: Mapping[str, float]) -> tuple[Impact, float]:
    """The impact as design says it, and the restitution: as stated, else falling with speed and off centre."""
    aims = [values[name] for name in ("speed_mps", "attack_deg", "path_deg", "face_deg", "dynamic_loft_deg")]
    normal = contact_normal(values["strike_toe_m"], values["strike_up_m"], head.bulge_m, head.roll_m)
    approach = dot(velocity_in_face(*aims), normal)
    restitution = stated.head.get("restitution")
    if restitution is None:
        restitution = float(head.restitution_at(approach, values["strike_toe_m"], values["strike_up_m"]))
    struck = impact(
        **values,
        head_mass_kg=head.mass_kg,
        head_inertia_kgm2=head.inertia_kgm2,
        head_depth_m=head.depth_m,
        bulge_m=head.bulge_m,
        roll_m=head.roll_m,
        restitution=restitution,
        tangential_restitution=head.tangential_restitution,
        friction=head.friction,
        mass_centre_toe_m=head.mass_centre_toe_m,
        mass_centre_up_m=head.mass_centre_up_m,
    )
    return struck, restitution


def _on_ground(
    values: Mapping[str, float], low_point: float, radius: float, plane: float, club: Club, struck: Impact
) -> dict[str, Any]:
    """Contact and turf of a delivery by a real club. Its speed is that at the ball, so the ground takes none."""
    head, tee, loft = club.head, club.standard.tee_height_m, np.radians(values["dynamic_loft_deg"])
    touch = tee + BALL_RADIUS_M * (1.0 - np.sin(loft))
    sole = float(touch - (head.face_centre_m + values["strike_up_m"]) * np.cos(loft))
    height = float(sole - arc.rise_m(low_point, radius, plane))
    met = strike.meet_ball(sole, tee, values["dynamic_loft_deg"], values["strike_toe_m"], head)
    before = strike.plough(height, low_point, radius, plane, values["speed_mps"], head).turf_before_m
    x, y, z = struck.head_velocity_mps
    push = values["attack_deg"] - np.degrees(np.arctan2(z, np.hypot(x, y)))
    mark = strike.divot(sole, values["attack_deg"], push, before, radius, plane)
    fat = before > strike.FAT_M
    return {
        "contact": CONTACTS[strike.FAT if fat else int(met.contact)],
        "arc_height_mm": height * 1e3,
        "low_point_body_cm": (low_point + club.standard.ball_position_m) * 100.0,
        **_of_turf(
            {
                "turf": mark.turf,
                "turf_depth_m": mark.depth_m,
                "turf_start_m": mark.start_m,
                "turf_end_m": mark.end_m,
                "turf_before_m": before,
            }
        ),
    }


# --- parts of the record ---------------------------------------------------------------------------------


def _of_arc(direction: float, attack: float, low_point: float, radius: float, plane: float) -> dict[str, Any]:
    ahead, right = arc.low_point_in_target_axes(low_point, direction, radius, plane)
    return {
        "swing_direction_deg": direction,
        "plane_deg": plane,
        "arc_radius_m": radius,
        "arc_angle_deg": arc.arc_angle_deg(attack, plane),
        "attack_deg": attack,
        "path_shift_deg": arc.path_shift_deg(attack, plane),
        "low_point_cm": low_point * 100.0,
        "low_point_below_cm": arc.rise_m(low_point, radius, plane) * 100.0,
        "low_point_ahead_cm": ahead * 100.0,
        "low_point_right_cm": right * 100.0,
        "straight_swing_direction_deg": arc.swing_direction_for_path(0.0, attack, plane),
        "plane_seen_deg": arc.plane_seen_deg(plane, direction),
    }


def _of_face(values: Mapping[str, Any], head: Head) -> dict[str, Any]:
    return {
        "face_deg": values["face_deg"],
        "face_to_path_deg": values["face_deg"] - values["path_deg"],
        "dynamic_loft_deg": values["dynamic_loft_deg"],
        "speed_mps": values["speed_mps"],
        "strike_toe_mm": values["strike_toe_m"] * 1e3,
        "strike_up_mm": values["strike_up_m"] * 1e3,
        "face_part": str(strike.side_of_face(values["strike_toe_m"], head)),
    }


def _of_turf(values: Mapping[str, Any]) -> dict[str, Any]:
    lengths = ("turf_depth", "turf_start", "turf_end", "turf_before")
    return {"turf": TURFS[int(values["turf"])], **{f"{name}_cm": values[f"{name}_m"] * 100.0 for name in lengths}}


def air_of(stated: Stated) -> Air:
    """The air as stated: a density, or what makes one; else the standard air at sea level."""
    given = dict(stated.air)
    density = given.pop("density_kgm3", None)
    return standard_air(**given) if density is None else replace(Air(), density_kgm3=density)


def _flown(stated: Stated, ball: Mapping[str, float]) -> dict[str, Any]:
    """The flight to its first landing, and the run after it."""
    air = air_of(stated)
    flown = fly(*ball.values(), air=air, accuracy=stated.accuracy, **stated.flight)  # type: ignore[arg-type]
    run = run_out(flown, stated.surface, slope_deg=stated.flight.get("slope_deg", 0.0))  # type: ignore[arg-type]
    return {
        **{name: getattr(flown, name) for name in IN_FLIGHT},
        "landing_spin_rpm": flown.spin_rpm,
        "bounce_m": run.bounce_m,
        "roll_m": run.roll_m,
        "total_m": run.total_m,
        "total_side_m": run.side_m,
        "surface": stated.surface,
        "air_density_kgm3": air.density_kgm3,
        "spin_decay_per_m": stated.flight.get("spin_decay_per_m", SPIN_DECAY_PER_M),
    }
