"""Pressure at altitude, against the standard atmosphere integrated from its definition."""

from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from station.dive.altitude import SEA_LEVEL_HPA, altitude_of, equivalent_depth, pressure_hpa

# ISO 2533:1975, from memory: sea level, lapse of the lowest layer, gravity and gas constant of dry air.
SEA_LEVEL_K = 288.15
LAPSE_K_PER_M = 0.0065
GRAVITY = 9.80665
GAS_CONSTANT = 287.05287
FOOT_M = 0.3048

FEET = tuple(range(0, 10_001, 500))
WITHIN_HPA = 0.05


def integrated(feet: float) -> float:
    """Return the pressure in hPa at a geopotential altitude: dp/dh = - g p / (R T), T falling evenly."""
    if feet == 0:
        return SEA_LEVEL_HPA

    def change(height: float, pressure: Any) -> Any:
        return -GRAVITY * pressure / (GAS_CONSTANT * (SEA_LEVEL_K - LAPSE_K_PER_M * height))

    found: Any = solve_ivp(change, (0, feet * FOOT_M), [SEA_LEVEL_HPA], method="DOP853", rtol=1e-10)
    assert found.success, found.message
    return float(found.y[0, -1])


@pytest.mark.parametrize("feet", FEET)
def test_pressure_at_altitude_is_the_integrated_one(feet: int) -> None:
    """Every 500 ft to the highest site that is reckoned: within 0.05 hPa."""
    assert pressure_hpa(feet) == pytest.approx(integrated(feet), abs=WITHIN_HPA)


@pytest.mark.parametrize(("hpa", "feet"), [(850, 4781), (900, 3243)])
def test_tabulated_altitudes_by_three_ways(hpa: float, feet: float) -> None:
    """ICAO standard atmosphere 1964, tabulated: the integral within 1 ft of it, the station within 5 ft."""
    level = float(brentq(lambda height: integrated(height) - hpa, 100, 10_000))
    assert level == pytest.approx(feet, abs=1)
    assert altitude_of(hpa) == pytest.approx(feet, abs=5)
    assert altitude_of(hpa) == pytest.approx(level, abs=2)


@pytest.mark.parametrize("feet", range(1000, 10_001, 1000))
def test_equivalent_depths_hold_under_the_integrated_pressure(feet: int) -> None:
    """No depth of the tables moves by more than a fiftieth of a foot at the equivalent depth."""
    for depth in np.linspace(10, 190, 37):
        ours = equivalent_depth(float(depth), pressure_hpa(feet))
        assert ours == pytest.approx(float(depth) * SEA_LEVEL_HPA / integrated(feet), abs=0.02)
