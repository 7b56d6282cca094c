"""Air as a real gas against the reference equation and a handbook table, and beside the trade's formula."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.errors import LookUpError
from station.shipped import shipped
from station.supply.bank import bank_held_scf, bank_usable
from station.supply.gas import Z_BOUND, held_scf, real_gas_factor
from station.supply.load import load_supply
from station.supply.model import AirTemperature

quick = settings(derandomize=True, deadline=None, max_examples=200)

SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
BANK = SUPPLY.banks[0]
EVEN = AirTemperature(flask_c=20, breathed_c=20, source="no difference")


def test_the_factor_follows_the_reference_equation_within_its_bound() -> None:
    """Lemmon, Jacobsen, Penoncello and Friend (2000), through CoolProp: 0-350 bar asked for, 420 covered."""
    from CoolProp.CoolProp import PropsSI  # noqa: PLC0415 - two seconds of whoever only collects

    worst = 0.0
    for temperature_c in range(-10, 51, 4):
        for pressure_bar in (0.5, *range(2, 421, 4), 420):
            reference = PropsSI("Z", "T", temperature_c + 273.15, "P", pressure_bar * 1e5, "Air")
            worst = max(worst, abs(real_gas_factor(pressure_bar, temperature_c) / reference - 1))
    assert worst < Z_BOUND == 0.0005


@pytest.mark.parametrize(
    ("pressure_bar", "factor"),
    [(10, 0.9974), (40, 0.9917), (100, 0.9930), (150, 1.0074), (200, 1.0326), (250, 1.0669), (300, 1.1089)],
)
def test_the_factor_at_300_k_by_a_handbook(pressure_bar: float, factor: float) -> None:
    """From memory: compressibility factors of air, Perry's Chemical Engineers' Handbook."""
    assert real_gas_factor(pressure_bar, 26.85) == pytest.approx(factor, rel=0.001)


def test_nothing_squeezed_is_an_ideal_gas() -> None:
    assert real_gas_factor(0, 20) == 1


@pytest.mark.parametrize(
    ("bar", "celsius"), [(-1, 20), (421, 20), (200, -10.1), (200, 50.1), (float("nan"), 0)]
)
def test_no_factor_is_made_up_outside_the_fit(bar: float, celsius: float) -> None:
    with pytest.raises(LookUpError, match="0 to 420 bar and -10 to 50 C"):
        real_gas_factor(bar, celsius)


class TestBank:
    def test_at_high_pressure_the_real_gas_leads(self) -> None:
        """Z at 20 C and 208 bar is 1.031: the flasks hold less than the trade's formula says."""
        usable = bank_usable(BANK, 3000, 91, EVEN)
        assert usable.scf == usable.real_scf < usable.ideal_scf
        assert usable.words.endswith("real gas leads, being the smaller")

    def test_at_low_pressure_the_trades_formula_leads(self) -> None:
        """Z at 20 C and 70 bar is 0.99: what there is beyond the trade's formula is not counted."""
        usable = bank_usable(BANK, 1000, 91, EVEN)
        assert usable.scf == usable.ideal_scf < usable.real_scf
        assert "the trade's formula leads" in usable.words

    def test_both_figures_and_their_difference_are_said(self) -> None:
        assert bank_usable(BANK, 3000, 91, EVEN).words.startswith(
            "ideal gas 11794 scf, real gas 11391 scf, 403 apart"
        )

    def test_warm_flasks_and_cold_water_hold_less(self) -> None:
        """Charles's law: air that leaves a flask at 30 C fills 283.15 / 303.15 of that at 10 C."""
        warm = held_scf(2000, 8, 30)
        assert held_scf(2000, 8, 30, 10) == pytest.approx(warm * 283.15 / 303.15)
        assert held_scf(2000, 8, 40, 10) < held_scf(2000, 8, 30, 10)

    def test_below_the_least_pressure_there_is_nothing(self) -> None:
        assert bank_usable(BANK, 200, 91, EVEN).scf == 0


@quick
@given(st.floats(0, 6000), st.floats(0, 6000), st.floats(-10, 50))
def test_more_pressure_always_holds_more(one: float, other: float, celsius: float) -> None:
    low, high = sorted([one, other])
    air = AirTemperature(flask_c=celsius, breathed_c=celsius, source="-")
    assert bank_held_scf(BANK, low, air) <= bank_held_scf(BANK, high, air)


@quick
@given(st.floats(0, 6000), st.floats(50, 300), st.floats(-10, 50), st.floats(-10, 50))
def test_what_counts_is_never_more_than_either(
    psig: float, manifold: float, flask: float, breathed: float
) -> None:
    usable = bank_usable(BANK, psig, manifold, AirTemperature(flask_c=flask, breathed_c=breathed, source="-"))
    assert 0 <= usable.scf <= min(usable.ideal_scf, usable.real_scf)
