"""Flow, partial pressures and helmet carbon dioxide against published figures."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.supply.flow import (
    absolute_ata,
    acfm,
    inspired_co2_ata,
    partial_ata,
    percent_for,
    scfm,
    ventilation_suffices,
)

quick = settings(derandomize=True, deadline=None, max_examples=200)


class TestFlow:
    @pytest.mark.parametrize(
        ("at_depth", "depth_fsw", "at_surface"),
        [
            (1.4, 130, 6.915),  # U.S. Navy Diving Manual Revision 4, 7-4.1 formula
            (4.5, 99, 18.0),  # the same; 4.5 acfm from 46 CFR 197.322(b)
            (6, 66, 18.0),  # the same; 6 acfm from US Army TM 5-4220-225-14, 2-15
        ],
    )
    def test_scfm(self, at_depth: float, depth_fsw: float, at_surface: float) -> None:
        assert scfm(at_depth, depth_fsw) == pytest.approx(at_surface, abs=0.0005)
        assert acfm(at_surface, depth_fsw) == pytest.approx(at_depth, abs=0.0005)

    def test_absolute_pressure(self) -> None:
        """29 CFR 1910.423(c)(1): 165 fsw stated as 6 ATA."""
        assert absolute_ata(165) == 6.0


class TestPartialPressure:
    def test_oxygen_for_1_2_ata_at_231_fsw(self) -> None:
        """U.S. Navy Diving Manual Revision 4/5, 12-5, inputs of Sample Problem 1; answer computed."""
        assert percent_for(1.2, 231) == pytest.approx(15.0)

    @pytest.mark.parametrize(
        ("percent", "depth_fsw", "ata"),
        [
            (21, 190, 1.419),  # Dalton's law, U.S. Navy Diving Manual 12-5
            (21, 132, 1.05),  # the same
            (100, 30, 1.909),  # the same; the deepest oxygen stop in the water, 30 fsw, from memory
        ],
    )
    def test_oxygen(self, percent: float, depth_fsw: float, ata: float) -> None:
        assert partial_ata(percent, depth_fsw) == pytest.approx(ata, abs=0.0005)

    def test_supply_co2_partial_pressure(self) -> None:
        """Dalton's law; 1000 ppm from 46 CFR 197.340(i), 6 ATA from 29 CFR 1910.423(c)(1)."""
        assert partial_ata(1000 / 10_000, 165) == pytest.approx(0.006)


class TestHelmetCo2:
    def test_helmet_co2(self) -> None:
        """46 CFR 197.322(b) figures, steady-state mass balance; depth cancels out."""
        assert inspired_co2_ata(1.6, 4.5) == pytest.approx(0.01256, abs=0.000005)
        assert inspired_co2_ata(1.6, 4.5, depth_fsw=190) == inspired_co2_ata(1.6, 4.5)

    def test_supplied_carbon_dioxide_adds_to_it(self) -> None:
        """By hand: 1000 ppm at 6 ATA is 0.006 ATA on top of 0.01256."""
        assert inspired_co2_ata(1.6, 4.5, 1000, 165) == pytest.approx(0.01856, abs=0.000005)

    def test_4_5_acfm_passes_at_any_depth(self) -> None:
        """46 CFR 197.322(b)(1); the limit itself passes."""
        assert ventilation_suffices(4.5)

    @pytest.mark.parametrize(("ventilation", "passes"), [(2.83, True), (2.82, False), (1.4, False)])
    def test_less_passes_while_carbon_dioxide_stays_under_the_limit(
        self, ventilation: float, *, passes: bool
    ) -> None:
        """46 CFR 197.322(b)(2): under 0.02 ATA at 1.6 slm, so more than 80 l/min or 2.825 acfm."""
        assert ventilation_suffices(ventilation) is passes


@quick
@given(st.floats(0.1, 20), st.floats(0, 400), st.floats(0, 400))
def test_deeper_never_takes_less_air(at_depth: float, one: float, other: float) -> None:
    low, high = sorted([one, other])
    assert scfm(at_depth, low) <= scfm(at_depth, high)


@quick
@given(st.floats(0.1, 20), st.floats(0.1, 20))
def test_more_ventilation_never_leaves_more_carbon_dioxide(one: float, other: float) -> None:
    low, high = sorted([one, other])
    assert inspired_co2_ata(1.6, high) <= inspired_co2_ata(1.6, low)
