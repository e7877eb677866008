"""One swing with one club, played to the end of the roll: all that the pictures are drawn from."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

from arclore.engine.geometry.air import Air
from arclore.engine.geometry.ball import BallModel
from arclore.engine.geometry.club import Club, Head
from arclore.engine.geometry.flight import fly
from arclore.engine.geometry.ground import SurfaceName, run_out
from arclore.engine.geometry.setup import SetUp
from arclore.engine.geometry.shot import CONTACTS, TURFS, Swing, fault_free, shot
from arclore.engine.geometry.trace import trace
from arclore.engine.quantities import Array, Number

OF_BALL = ("ball_speed_mps", "launch_deg", "start_deg", "backspin_rpm", "axis_tilt_deg")
OF_CLUB = (
    "swing_direction_deg",
    "plane_deg",
    "arc_radius_m",
    "path_deg",
    "face_deg",
    "low_point_m",
    "strike_toe_m",
    "strike_up_m",
)
OF_STANCE = ("arc_height_m", "turf_start_m", "turf_end_m", "turf_depth_m")


@dataclass(frozen=True)
class Flown:
    """One ball's flight: ``way`` (3, n) in m (ahead, right, up) to the first landing, ``rest`` where it stops.

    ``landing_deg`` is below the horizontal; the launch is kept for the sentences.
    """

    label: str
    ball_speed_mps: float
    launch_deg: float
    start_deg: float
    backspin_rpm: float
    apex_m: float
    curve_m: float
    landing_deg: float
    way: Array
    rest: tuple[float, float]

    @property
    def carry_m(self) -> float:
        return float(self.way[0, -1])

    @property
    def slope(self) -> float:
        """Rise of the ground for each metre toward the target."""
        return float(self.way[2, -1]) / self.carry_m if self.carry_m > 0.0 else 0.0

    @property
    def side_m(self) -> float:
        return float(self.way[1, -1])


@dataclass(frozen=True)
class Stance:
    """Where ball, heel and ground are: metres from the ground under the ball, along the arc's base line."""

    lead_heel_m: float
    tee_height_m: float
    arc_height_m: float  # of the sole at the bottom of the arc
    turf: str  # a word of TURFS
    turf_start_m: float
    turf_end_m: float
    turf_depth_m: float


@dataclass(frozen=True)
class Rolled:
    """A putted ball on a level green: how far (m) it hopped and slid before it rolled, its whole way, how far off the
    target line it stopped (+ right), how far the hole is, and how far a ball runs from the measuring ramp there.
    """

    slid_m: float
    distance_m: float
    side_m: float
    hole_m: float
    green_run_m: float


@dataclass(frozen=True)
class Sand:
    """A sole in sand, metres from the top of the sand under the ball: entry is counted back, height up.

    ``result`` is a word of the geometry's RESULTS; depth and length of the mark are 0 where the sole never enters.
    """

    result: str
    lead_heel_m: float
    arc_height_m: float
    entry_m: float
    depth_m: float
    mark_m: float


@dataclass(frozen=True)
class Stroke:
    """What a club did at the ball, in plain numbers of the geometry, and the flight that came of it.

    ``attack_deg`` and ``dynamic_loft_deg`` are against the ground the ball lies on. ``stance`` is None where
    nothing is known of the ground, and where ``rolled`` (of a putt) or ``sand`` stands in its place.
    """

    label: str
    head: Head
    swing_direction_deg: float
    plane_deg: float
    arc_radius_m: float
    attack_deg: float
    path_deg: float
    face_deg: float
    dynamic_loft_deg: float
    low_point_m: float
    strike_toe_m: float
    strike_up_m: float
    contact: str  # a word of CONTACTS
    stance: Stance | None
    flown: Flown
    rolled: Rolled | None = None
    sand: Sand | None = None

    @property
    def missed(self) -> bool:
        return self.contact == "miss"


def flown(
    label: str,
    launch: dict[str, float],
    *,
    ball: BallModel | None = None,
    air: Air | None = None,
    surface: SurfaceName = "fairway",
    **conditions: float | None,
) -> Flown:
    """Fly one ball from its launch numbers, named as ``fly`` names them."""
    end = fly(**launch, model=ball, air=air, **conditions)  # type: ignore[arg-type]
    run = run_out(end, surface)
    return Flown(
        label=label,
        ball_speed_mps=launch["ball_speed_mps"],
        launch_deg=launch["launch_deg"],
        start_deg=launch["start_deg"],
        backspin_rpm=launch["backspin_rpm"],
        apex_m=float(end.apex_m),
        curve_m=float(end.curve_m),
        landing_deg=float(end.landing_deg),
        way=trace(**launch, model=ball, air=air, **conditions),  # type: ignore[arg-type]
        rest=(float(run.total_m), float(run.side_m)),
    )


def played(
    swing: Swing,
    set_up: SetUp,
    club: Club,
    label: str | None = None,
    *,
    ball: BallModel | None = None,
    air: Air | None = None,
    surface: SurfaceName = "fairway",
    friction: Number | None = None,
    **conditions: float | None,
) -> Stroke:
    """Play one swing (plain numbers, no arrays). Raises ValueError as ``shot`` does."""
    name = club.id if label is None else label
    struck = shot(swing, set_up, club, friction=friction, flight=False)
    given = {field.name: getattr(struck, field.name) for field in fields(struck)}
    number = {key: float(value) for key, value in given.items() if value is not None}
    slope = float(set_up.slope_deg)
    stance = Stance(
        lead_heel_m=0.0 - float(set_up.ball_position_m),
        tee_height_m=float(set_up.tee_height_m),
        turf=TURFS[int(struck.turf)],
        **{key: number[key] for key in OF_STANCE},
    )
    return Stroke(
        label=name,
        head=club.head,
        attack_deg=number["attack_deg"] - slope,
        dynamic_loft_deg=number["dynamic_loft_deg"] - slope,
        contact=CONTACTS[int(struck.contact)],
        stance=stance,
        rolled=None,
        sand=None,
        flown=flown(name, {key: number[key] for key in OF_BALL}, ball=ball, air=air, surface=surface, **conditions),
        **{key: number[key] for key in OF_CLUB},
    )


def same_swing(swing: Swing, club: Club, other: Club, level: str) -> Swing:
    """The swing made with another club.

    Where it points, where the face looks and where the ball meets the face stay as they are. Low point against
    the body (it goes back with the wider, more tilted stance of a longer club), height over the ground, loft and
    speed go with the club: they differ from what is right for the other club by as much as they did from what is
    right for this one.
    """
    own, new = fault_free(club, level), fault_free(other, level)
    return replace(
        swing,
        low_point_m=new.low_point_m + swing.low_point_m - own.low_point_m,
        arc_height_m=new.arc_height_m + swing.arc_height_m - own.arc_height_m,
        loft_deg=new.loft_deg + swing.loft_deg - own.loft_deg,
        speed_mps=new.speed_mps * swing.speed_mps / own.speed_mps,
        plane_deg=_carried(swing.plane_deg, club.plane_deg, other.plane_deg),
        arc_radius_m=_carried(swing.arc_radius_m, club.arc_radius_m, other.arc_radius_m),
    )


def _carried(given: Number | None, own: float, other: float) -> Number | None:
    return None if given is None else other + given - own


def exchanged(own: SetUp, other: SetUp) -> SetUp:
    """The other club's set-up to the ball, with the tee and the lie of the ground that are there."""
    return replace(
        other,
        tee_height_m=own.tee_height_m,
        side_slope_deg=own.side_slope_deg,
        slope_deg=own.slope_deg,
    )
