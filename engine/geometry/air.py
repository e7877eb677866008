"""The state of the air: density and viscosity from altitude, temperature, pressure and humidity.

The base is the standard atmosphere of ISO 2533:1975 in its lowest layer. Moist air is treated as a mixture of
ideal gases with the saturation pressure of CIPM-2007, so that dry standard air stays exactly the standard's.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from arclore.engine.geometry.limits import within
from arclore.engine.quantities import GRAVITY_MPS2, Number

SEA_LEVEL_K: Final = 288.15
SEA_LEVEL_PA: Final = 101_325.0
LAPSE_K_PER_M: Final = 0.0065
GAS_CONSTANT_JPKGK: Final = 287.05287  # ISO 2533, specific gas constant of dry air
ZERO_CELSIUS_K: Final = 273.15


@dataclass(frozen=True, slots=True)
class Air:
    """Air around the ball: density (kg/m3), dynamic viscosity (Pa s) and how the wind grows with height.

    Density and viscosity are floats or arrays that broadcast with the shots. ``wind_shear_exponent`` 0 means
    the same wind at every height; otherwise the stated wind is the one 10 m up and at height z it is ``((1 +
    z) / 11) ** exponent`` of it. The usual power law of open country has an exponent of about 1/7 (common
    practice); the added metre keeps a ball on the ground in moving air.
    """

    density_kgm3: Number = 1.225
    viscosity_pas: Number = 1.7894e-5
    wind_shear_exponent: float = 0.0

    def __post_init__(self) -> None:
        within("air density", self.density_kgm3, 0.0, 2.0, "kg/m3")
        within("air viscosity", self.viscosity_pas, 1e-6, 1e-4, "Pa s")
        within("wind shear exponent", self.wind_shear_exponent, 0.0, 1.0, "")


def sutherland_pas(temperature_k: Number) -> Number:
    """Dynamic viscosity of air (Pa s) at a temperature (K): Sutherland's formula, ISO 2533 constants."""
    temperature = np.asarray(temperature_k, dtype=float)
    viscosity: Number = 1.458e-6 * temperature**1.5 / (temperature + 110.4)
    return viscosity


def saturation_pa(temperature_k: Number) -> Number:
    """Pressure of saturated water vapour (Pa) at a temperature (K): the exponential of CIPM-2007.

    Picard, Davis, Glaeser, Fujii, "Revised formula for the density of moist air", Metrologia 45, 2008, eq.
    A1.1.
    """
    temperature = np.asarray(temperature_k, dtype=float)
    pressure: Number = np.exp(
        1.2378847e-5 * temperature**2 - 1.9121316e-2 * temperature + 33.93711047 - 6.3431645e3 / temperature
    )
    return pressure


def standard_air(
    altitude_m: Number = 0.0,
    temperature_c: Number | None = None,
    pressure_pa: Number | None = None,
    humidity: Number = 0.0,
    wind_shear_exponent: float = 0.0,
) -> Air:
    """Air at a geopotential altitude (m); a measured temperature (degC) or pressure (Pa) replaces the
    standard one.

    ``pressure_pa`` is the pressure at the place itself, not reduced to sea level; ``humidity`` is relative, 0
    to 1. Moist air is lighter: its density is that of dry air times ``1 - 0.378 x``, x the mole fraction of
    vapour. Raises ValueError for a value out of range. Source: ISO 2533:1975; vapour: CIPM-2007 (see
    `saturation_pa`).
    """
    altitude = within("altitude", altitude_m, -500.0, 11_000.0, "m")
    standard_k = SEA_LEVEL_K - LAPSE_K_PER_M * altitude
    exponent = GRAVITY_MPS2 / (GAS_CONSTANT_JPKGK * LAPSE_K_PER_M)
    temperature = (
        standard_k
        if temperature_c is None
        else within("air temperature", temperature_c, -60.0, 60.0, "degC") + ZERO_CELSIUS_K
    )
    pressure = (
        SEA_LEVEL_PA * (standard_k / SEA_LEVEL_K) ** exponent
        if pressure_pa is None
        else within("air pressure", pressure_pa, 20_000.0, 110_000.0, "Pa")
    )
    share = within("relative humidity", humidity, 0.0, 1.0, "") * saturation_pa(temperature) / pressure
    density = pressure / (GAS_CONSTANT_JPKGK * temperature) * (1.0 - 0.378 * share)
    return Air(density[()], np.asarray(sutherland_pas(temperature))[()], wind_shear_exponent)
