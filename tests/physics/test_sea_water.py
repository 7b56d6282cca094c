"""Depth as a pressure, against the equation of state of sea water (TEOS-10, by the gsw library)."""

import gsw
import pytest

from station.units import registry, to_fsw

FOOT_M = 0.3048
PA_PER_DBAR = 10_000.0
ATMOSPHERE_PA = 101_325.0

DEPTHS_FSW = (10, 33, 60, 100, 165, 190, 220, 300)


def pascals(quantity: float, unit: str) -> float:
    return float(registry().Quantity(quantity, unit).to("pascal").magnitude)


@pytest.mark.parametrize("depth", DEPTHS_FSW)
@pytest.mark.parametrize("latitude", [0, 30, 45, 60, 80])
def test_a_foot_of_sea_water_is_the_pressure_of_a_foot_of_sea(depth: int, latitude: int) -> None:
    """Standard ocean (35 g/kg, 0 C), 10 to 300 ft, equator to pole: within 0.4 %."""
    sea = float(gsw.p_from_z(-depth * FOOT_M, latitude)) * PA_PER_DBAR
    assert pascals(depth, "fsw") == pytest.approx(sea, rel=0.004)


@pytest.mark.parametrize("depth", [3, 9, 18, 30, 50, 90])
def test_a_metre_of_sea_water_is_the_pressure_of_a_metre_of_sea(depth: int) -> None:
    """The msw is a round 10 kPa; 45 degrees of latitude: within 1 %."""
    sea = float(gsw.p_from_z(-depth, 45)) * PA_PER_DBAR
    assert pascals(depth, "msw") == pytest.approx(sea, rel=0.01)


@pytest.mark.parametrize(("salinity", "celsius"), [(35, -1), (35, 10), (35, 25), (38, 15), (30, 5)])
def test_warm_and_salty_water_differ_little(salinity: float, celsius: float) -> None:
    """Density of TEOS-10 halfway down to 165 ft, gravity at 45 degrees: within 1 %."""
    height = 165 * FOOT_M
    density = float(gsw.rho(salinity, celsius, height / 2))
    weight = density * float(gsw.grav(45, 0)) * height
    assert pascals(165, "fsw") == pytest.approx(weight, rel=0.01)


def test_fresh_water_is_told_apart() -> None:
    """A depth is a pressure: a foot of fresh water is 2 to 3.5 % less of it than a foot of sea water."""
    weight = float(gsw.rho(0, 10, 0)) * float(gsw.grav(45, 0)) * 33 * FOOT_M
    assert 0.02 < 1 - weight / pascals(33, "fsw") < 0.035


def test_165_fsw_is_six_atmospheres_absolute() -> None:
    """29 CFR 1910.423(c)(1): a chamber to 165 fsw, 6 ATA. The sea agrees within 0.4 %."""
    absolute = pascals(165, "fsw") + ATMOSPHERE_PA
    assert absolute / ATMOSPHERE_PA == pytest.approx(6, abs=1e-9)
    sea = float(gsw.p_from_z(-165 * FOOT_M, 45)) * PA_PER_DBAR + ATMOSPHERE_PA
    assert sea / ATMOSPHERE_PA == pytest.approx(6, rel=0.004)


def test_an_msw_in_fsw_is_what_the_two_pressures_say() -> None:
    """10 kPa over a thirty-third of an atmosphere: 3.2568 fsw (units of the trade, from memory)."""
    assert to_fsw(1, "msw") == pytest.approx(10_000 * 33 / ATMOSPHERE_PA, rel=1e-9)
