"""The way through the air against closed forms: a ball in a vacuum flies a parabola."""

from __future__ import annotations

import numpy as np
import pytest
from arclore.engine.geometry.air import Air
from arclore.engine.geometry.flight import fly
from arclore.engine.geometry.trace import trace

GRAVITY = 9.80665  # ISO 80000-3
VACUUM = {"drag_coefficient": 0.0, "lift_coefficient": 0.0}


@pytest.mark.parametrize("launch", [9.0, 12.0, 30.0, 43.9, 44.1, 60.0, 85.0])
@pytest.mark.parametrize("slope", [-10.0, 0.0, 8.0])
def test_a_vacuum_gives_a_parabola(launch: float, slope: float) -> None:
    speed, angle = 40.0, np.radians(launch)
    ahead, right, up = trace(speed, launch, slope_deg=slope, **VACUUM)
    assert up == pytest.approx(
        ahead * np.tan(angle) - GRAVITY * ahead**2 / (2.0 * (speed * np.cos(angle)) ** 2), abs=0.05
    )
    assert right == pytest.approx(0.0, abs=1e-9)
    assert up[-1] == pytest.approx(ahead[-1] * np.tan(np.radians(slope)), abs=1e-9)


def test_it_starts_points_and_ends_as_the_flight_does() -> None:
    launch = (68.0, 11.0, -3.0, 2700.0, 9.0)
    way = trace(*launch, wind_across_mps=3.0)
    end = fly(*launch, wind_across_mps=3.0, accuracy="fine")
    assert way[:, 0].tolist() == [0.0, 0.0, 0.0]
    assert way[1, 1] / way[0, 1] == pytest.approx(np.tan(np.radians(-3.0)), abs=0.005)
    assert way[:2, -1] == pytest.approx([end.carry_m, end.side_m], abs=0.25)
    assert way[2].max() == pytest.approx(float(end.apex_m), abs=0.25)
    assert (np.diff(way[0]) > 0).all() and (way[2, 1:-1] > 0).all()


def test_every_point_is_where_the_ball_meets_the_ground_put_there() -> None:
    """The flight to a ground so far below is another run of the same flight."""
    way = trace(60.0, 14.0, 0.0, 3000.0, 5.0)
    fine = fly(60.0, 14.0, 0.0, 3000.0, 5.0, launch_height_m=30.0, accuracy="fine")
    longer = trace(60.0, 14.0, 0.0, 3000.0, 5.0, slope_deg=-float(np.degrees(np.arctan(30.0 / fine.carry_m))))
    assert longer[:, -1] == pytest.approx([fine.carry_m, fine.side_m, -30.0], abs=0.3)
    assert np.interp(100.0, way[0], way[2]) == pytest.approx(np.interp(100.0, longer[0], longer[2]), abs=0.3)


@pytest.mark.parametrize("case", [{"wind_along_mps": -40.0}, {"air": Air(wind_shear_exponent=0.2)}, {}])
def test_ways_off_the_screen_are_finite(case: dict[str, object]) -> None:
    for speed, launch in ((30.0, 40.0), (30.0, 70.0), (20.0, -5.0), (0.0, 0.0)):
        way = trace(speed, launch, 2.0, 4000.0, -20.0, **case)  # type: ignore[arg-type]
        assert np.isfinite(way).all()
        assert way[2, -1] == 0.0
