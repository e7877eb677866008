"""A predicted shot in sentences: where the club went, where it looked, where it bottomed out, what the ball did."""

from __future__ import annotations

from typing import Any

from arclore.tui.command.page import Page, number, sentence, side


def write_shot(shot: dict[str, Any]) -> Page:
    """The page of one predicted shot."""
    page = Page()
    if shot["club"] is not None:
        _club(page, shot)
    _ball(page, shot)
    return page


def _club(page: Page, shot: dict[str, Any]) -> None:
    page.heading(f"The club: {shot['club']}, {shot['level']}")
    path = side(shot["path_deg"], "to the left", "to the right", "deg", "along the target line")
    line = side(shot["swing_direction_deg"], "to the left", "to the right", "deg", "at the target")
    attack = side(shot["attack_deg"], "down", "up", "deg", "level")
    page.paragraph(f"At the ball the club travels {path}, moving {attack}; the arc's base line points {line}.")
    face = side(shot["face_deg"], "left", "right", "deg", "at the target")
    to_path = side(shot["face_to_path_deg"], "left of", "right of", "deg", "along")
    page.paragraph(f"Its face looks {face}, {to_path} the path, with {number(shot['dynamic_loft_deg'])} deg of loft.")
    low = side(shot["low_point_cm"], "behind the ball", "ahead of the ball", "cm", "at the ball")
    page.paragraph(f"It bottoms out {low}.")
    page.paragraph(sentence(_strike(shot)))
    error = shot["model_error"]
    page.paragraph(
        f"The arc is a circle in a plane here: take {number(error['angle_deg'])} deg and "
        f"{number(error['low_point_cm'], 0)} cm either way as the model's own error."
    )


def _strike(shot: dict[str, Any]) -> str:
    if shot["contact"] == "miss":
        return "it misses the ball"
    up = side(shot["strike_up_mm"], "below the middle", "above the middle", "mm", "at middle height", 0)
    toe = side(shot["strike_toe_mm"], "toward the heel", "toward the toe", "mm", "centred from heel to toe", 0)
    turf = ""
    if shot["turf"] == "none":
        turf = "; the turf is not marked"
    elif shot["turf"] is not None:
        start = side(shot["turf_start_cm"], "behind", "ahead of", "cm", "at")
        turf = f"; the turf is cut from {start} the ball, {number(shot['turf_depth_cm'])} cm deep"
    return f"the contact is {shot['contact']}, {toe} and {up} of the face{turf}"


def _ball(page: Page, shot: dict[str, Any]) -> None:
    page.heading("The ball")
    if shot["contact"] == "miss":
        page.paragraph("It stays where it lies.")
        return
    start = side(shot["start_deg"], "left", "right", "deg", "at the target")
    page.paragraph(
        f"It leaves at {number(shot['ball_speed_mps'])} m/s, {number(shot['launch_deg'])} deg up, starting {start}, "
        f"with {number(shot['backspin_rpm'], 0)} rpm about an axis "
        f"{side(shot['axis_tilt_deg'], 'tilted left', 'tilted right', 'deg', 'that is level')}."
    )
    curve = side(shot["curve_m"], "to the left", "to the right", "m", "not at all")
    across = side(shot["side_m"], "left of", "right of", "m", "on")
    page.paragraph(
        f"It curves {curve}, climbs {number(shot['apex_m'])} m, carries {number(shot['carry_m'])} m in "
        f"{number(shot['time_s'])} s and lands {across} the target line, coming down at "
        f"{number(shot['landing_deg'])} deg; on {shot['surface']} turf it comes to rest after "
        f"{number(shot['total_m'])} m."
    )
