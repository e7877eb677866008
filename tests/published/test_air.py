"""The air against ISO 2533:1975 and handbook values of it."""

from __future__ import annotations

import numpy as np
import pytest
from arclore.engine.geometry.air import Air, saturation_pa, standard_air, sutherland_pas


@pytest.mark.parametrize(
    ("altitude_m", "density"),
    [(0, 1.2250), (500, 1.1673), (1000, 1.1116), (1609.344, 1.0466), (2000, 1.0065), (3000, 0.9091)],
)
def test_density_by_altitude(altitude_m: float, density: float) -> None:
    """ISO 2533 formula; Mechanical Engineers' Handbook vol. 4, table 6 (geometric altitude). Grade A."""
    tolerance = 0.0004 if altitude_m else 0.0002
    assert standard_air(altitude_m).density_kgm3 == pytest.approx(density, abs=tolerance)


def test_density_ratio_at_5000_ft() -> None:
    """Printed as 0.8617 in tables of the standard atmosphere. Grade A."""
    ratio = standard_air(1524).density_kgm3 / standard_air(0).density_kgm3
    assert ratio == pytest.approx(0.8617, abs=0.0002)


def test_kinematic_viscosity_at_sea_level() -> None:
    """ISO 2533: 1.460e-5 m2/s and 1.789e-5 Pa s at 288.15 K. Grade A."""
    air = standard_air()
    assert air.viscosity_pas / air.density_kgm3 == pytest.approx(1.460e-5, rel=0.005)
    assert air.viscosity_pas == pytest.approx(1.789e-5, rel=0.001)
    assert Air().viscosity_pas == pytest.approx(float(sutherland_pas(288.15)), rel=1e-4)


def test_dry_density_by_temperature() -> None:
    """Ideal gas at 101 325 Pa, worked apart from this code. Grade A."""
    temperature = np.array([0.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0])
    expected = [1.2923, 1.2466, 1.2250, 1.2041, 1.1839, 1.1644, 1.1455]
    assert standard_air(0, temperature_c=temperature).density_kgm3 == pytest.approx(expected, abs=0.0001)


def test_moist_air_is_lighter() -> None:
    """75 degF, 30 inHg, 50 %: 1.1849 kg/m3, dry 1.1915, worked apart from this code. Grade A."""
    place = {"temperature_c": (75 - 32) / 1.8, "pressure_pa": 30 * 3386.389}
    assert standard_air(0, **place).density_kgm3 == pytest.approx(1.1915, abs=0.0002)
    assert standard_air(0, **place, humidity=0.5).density_kgm3 == pytest.approx(1.1849, abs=0.0003)


def test_saturation_pressure(weak) -> None:  # type: ignore[no-untyped-def]
    """Steam tables: 611.2 Pa at 0 degC, 2339 Pa at 20 degC (from memory, so noted only)."""
    for celsius, expected in ((0.0, 611.2), (20.0, 2339.0), (35.0, 5627.0)):
        value = float(saturation_pa(celsius + 273.15))
        low, high = expected * 0.995, expected * 1.005
        weak(f"vapour pressure at {celsius:g} degC", value, low, high, "Pa", "steam tables, from memory", "D")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"altitude_m": float("nan")}, "altitude"),
        ({"humidity": 50}, "relative humidity"),
        ({"temperature_c": 300}, "air temperature"),
        ({"pressure_pa": 1013.25}, "air pressure"),
    ],
)
def test_absurd_air_is_refused_in_one_line(arguments: dict[str, float], words: str) -> None:
    with pytest.raises(ValueError, match=words) as caught:
        standard_air(**arguments)
    assert "\n" not in str(caught.value)
    assert " to " in str(caught.value)
