"""The numbers that ``predict`` takes: flag, unit and meaning in one table.

A flag is spelt like the name in the JSON result. ``field`` is the name inside the geometry, in SI units, and
``scale`` turns the flag's unit into that one.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Quantity:
    """One number: its name outside, its field inside, the factor between them, what it means."""

    name: str
    field: str
    help: str
    scale: float = 1.0

    @property
    def flag(self) -> str:
        return "--" + self.name.replace("_", "-")


MM, CM = 1e-3, 1e-2
SWING = (
    Quantity("swing_direction_deg", "swing_direction_deg", "base line of the arc, + right of the target"),
    Quantity("plane_deg", "plane_deg", "inclination of the swing plane"),
    Quantity("arc_radius_m", "arc_radius_m", "radius of the arc"),
    Quantity("face_deg", "face_deg", "where the face looks, + right"),
    Quantity("speed_mps", "speed_mps", "speed of the head"),
    Quantity("strike_toe_mm", "strike_toe_m", "strike from the middle of the face, + toward the toe", MM),
)
BODY = (
    Quantity("low_point_body_cm", "low_point_m", "low point against the inside of the lead heel, + ahead", CM),
    Quantity("arc_height_mm", "arc_height_m", "sole above the ground at the bottom of the arc", MM),
    Quantity("loft_deg", "loft_deg", "loft at the strike as it is in the standard set-up"),
    Quantity("closing_deg_per_m", "closing_deg_per_m", "how fast the face closes along the arc"),
)
SET_UP = (
    Quantity("ball_position_cm", "ball_position_m", "ball against the inside of the lead heel, + ahead", CM),
    Quantity("tee_height_mm", "tee_height_m", "underside of the ball above the ground", MM),
    Quantity("tilt_deg", "tilt_deg", "upper body away from the target"),
    Quantity("stance_width_cm", "stance_width_m", "between the insides of the heels", CM),
    Quantity("handle_cm", "handle_m", "handle ahead of the ball +", CM),
    Quantity("aim_deg", "aim_deg", "the whole golfer turned, + right"),
    Quantity("body_aim_deg", "body_aim_deg", "feet, hips and shoulders alone, + right"),
    Quantity("face_aim_deg", "face_aim_deg", "the face alone, + right"),
    Quantity("ball_distance_cm", "ball_distance_m", "ball further from the golfer than standard +", CM),
    Quantity("side_slope_deg", "side_slope_deg", "ball above the feet +"),
    Quantity("slope_deg", "slope_deg", "ground rises toward the target +"),
    Quantity("lie_error_deg", "lie_error_deg", "toe of the club up +"),
)
DELIVERED = (
    Quantity("attack_deg", "attack_deg", "up or down at the ball, + up"),
    Quantity("low_point_cm", "low_point_m", "low point of the arc, + ahead of the ball", CM),
    Quantity("path_deg", "path_deg", "horizontal direction of the head at the ball, + right"),
    Quantity("dynamic_loft_deg", "dynamic_loft_deg", "loft of the face at the ball"),
    Quantity("strike_up_mm", "strike_up_m", "strike from the middle of the face, + up", MM),
)
HEAD = (
    Quantity("head_mass_kg", "head_mass_kg", "mass of the head; without --club also makes a plain head"),
    Quantity("head_depth_mm", "head_depth_m", "centre of mass behind the face", MM),
    Quantity("restitution", "restitution", "normal restitution, the same wherever the ball is met"),
    Quantity("tangential_restitution", "tangential_restitution", "spring-back along the face"),
    Quantity("friction", "friction", "between face and ball"),
    Quantity("bulge_mm", "bulge_m", "radius of the face from toe to heel", MM),
    Quantity("roll_mm", "roll_m", "radius of the face up and down", MM),
)
BALL = (
    Quantity("ball_speed_mps", "ball_speed_mps", "speed of the ball"),
    Quantity("launch_deg", "launch_deg", "launch above the horizontal"),
    Quantity("start_deg", "start_deg", "start, + right of the target"),
    Quantity("backspin_rpm", "backspin_rpm", "spin about the tilted axis, - topspin"),
    Quantity("axis_tilt_deg", "axis_tilt_deg", "tilt of the spin axis, + curves right"),
)
FLIGHT = (
    Quantity("drag_coefficient", "drag_coefficient", "constant, in place of the ball's"),
    Quantity("lift_coefficient", "lift_coefficient", "constant, in place of the ball's"),
    Quantity("spin_decay_per_m", "spin_decay_per_m", "share of spin lost for each metre"),
    Quantity("wind_along_mps", "wind_along_mps", "wind toward the target +"),
    Quantity("wind_across_mps", "wind_across_mps", "wind to the right +"),
    Quantity("landing_slope_deg", "slope_deg", "the ground in front rises toward the target +"),
)
AIR = (
    Quantity("air_density_kgm3", "density_kgm3", "density of the air"),
    Quantity("altitude_m", "altitude_m", "height of the place above the sea"),
    Quantity("temperature_c", "temperature_c", "temperature of the air"),
    Quantity("pressure_hpa", "pressure_pa", "pressure of the air at the place", 100.0),
    Quantity("humidity_percent", "humidity", "relative humidity", 0.01),
)
INERTIA = "head_inertia_gcm2"  # three numbers, about the toe, up and face-normal axes
G_CM2 = 1e-7  # in kg m2
