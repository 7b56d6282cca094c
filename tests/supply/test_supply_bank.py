"""Banks, cylinders and demand against published examples, in both published forms."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.supply.bank import bank_least_psig, bank_scf, cylinder_scf, minutes_left
from station.supply.demand import (
    ascent_minutes,
    ascent_scf,
    ascent_seconds,
    average_fsw,
    cylinder_least_psig,
    cylinder_needed_psig,
    stay_scf,
)
from station.supply.flow import scfm
from station.supply.model import Bank
from station.supply.pressure import by_rounded_bottom
from station.units import parse_depth, parse_pressure, parse_volume, up_to

quick = settings(derandomize=True, deadline=None, max_examples=200)

# The bank of U.S. Navy Diving Manual Revision 4, 8-2.2.3, Sample Problem 2 (page 8-4): statement read there;
# the 200 psig flask minimum and the layout of the formula from memory.
BANK = Bank(
    id="bank",
    name="Bank",
    role="primary",
    flasks_in_bank=5,
    flasks_on_line=4,
    floodable_cu_ft=8,
    working_psig=3000,
    minimum_psig=200,
    gauge_psig=5000,
    source="U.S. Navy Diving Manual Revision 4, 8-2.2.3",
)


class TestBankCapacity:
    @pytest.mark.parametrize(
        ("manifold_psig", "scf"),
        [
            (193, 5675.1),  # from memory: step 2 of Sample Problem 2, 135 psi over bottom
            (223, 5609.8),  # from memory: a printing with 165 psi over bottom, answer of about 5609
        ],
    )
    def test_only_flasks_on_line_count(self, manifold_psig: float, scf: float) -> None:
        assert bank_scf(BANK, 3000, manifold_psig) == pytest.approx(scf, abs=0.05)

    def test_the_least_pressure_is_flask_minimum_plus_manifold(self) -> None:
        """From memory: the same example."""
        assert bank_least_psig(BANK, 193) == 393
        assert bank_scf(BANK, 393, 193) == 0

    def test_below_the_least_pressure_there_is_nothing_not_less(self) -> None:
        assert bank_scf(BANK, 100, 193) == 0

    def test_cylinder_capacity(self) -> None:
        """Revision 5, 17-10.5 example inputs; the printed answer was not legible, value computed."""
        assert cylinder_scf(2800, 250, 0.399, cylinders=2) == pytest.approx(138.4, abs=0.05)


class TestTheTwoForms:
    """Revision 4, 7-4.1 divides the usable psi by 14.7; the example of 15-8.1 adds 14.7 first."""

    def test_they_differ_by_one_fill_at_surface_pressure(self) -> None:
        by_gauge = cylinder_scf(2600, 135, 0.399)
        by_absolute = cylinder_scf(2600, 135, 0.399, form="absolute")
        assert by_gauge == pytest.approx(66.907, abs=0.0005)  # 2465 / 14.7 x 0.399
        assert by_absolute == pytest.approx(67.306, abs=0.0005)  # 2479.7 / 14.7 x 0.399
        assert by_absolute - by_gauge == pytest.approx(0.399)

    def test_neither_finds_air_at_the_least_pressure(self) -> None:
        assert cylinder_scf(135, 135, 0.399) == 0
        assert cylinder_scf(135, 135, 0.399, form="absolute") == 0

    def test_banks_are_reckoned_by_the_smaller(self) -> None:
        least = bank_least_psig(BANK, 193)
        assert bank_scf(BANK, 3000, 193) == cylinder_scf(3000, least, 8, 4)
        assert bank_scf(BANK, 3000, 193) < cylinder_scf(3000, least, 8, 4, form="absolute")


class TestDemand:
    def test_bank_demand_ascent(self) -> None:
        """Method of Revision 4, 8-2.2.1, applied to Sample Problem 2: 130 fsw, three at 1.4 acfm."""
        assert ascent_seconds(130, 0) == 4 * 60 + 20
        assert ascent_minutes(130, 0) == 5
        assert average_fsw(130, 0) == 65
        assert ascent_scf(130, 0, 1.4, divers=3) == pytest.approx(62.36, abs=0.005)

    def test_emergency_gas_at_depth(self) -> None:
        """Revision 4 Change A, 8-2.2.1 example (page 8-3); the 3 minutes follow from its 28.38 scf."""
        assert stay_scf(190, 1.4, 3) == pytest.approx(28.38, abs=0.005)

    def test_emergency_gas_ascent(self) -> None:
        """Revision 4 Change A, 8-2.2.1 example (page 8-3): 6:20 up to 7 min, at 95 fsw."""
        assert ascent_seconds(190, 0) == 6 * 60 + 20
        assert ascent_minutes(190, 0) == 7
        assert average_fsw(190, 0) == 95
        assert ascent_scf(190, 0, 1.4) == pytest.approx(38.01, abs=0.005)

    def test_ascent_time_between_stops(self) -> None:
        """Second-hand: notes on Revision 6, 20 s from 40 to 30 fsw."""
        assert ascent_seconds(40, 30) == 20

    def test_emergency_gas_minimum_psig(self) -> None:
        """Revision 4 Change A, 8-2.2.1 example (page 8-3): first stage + 0.445 x final stop."""
        assert cylinder_least_psig(135, 0) == 135
        assert cylinder_least_psig(135, 20) == pytest.approx(143.9)

    def test_emergency_gas_cylinder_pressure(self) -> None:
        """Revision 4 Change A, 8-2.2.1 example (page 8-3): printed answer rounded up to 2600."""
        psig = cylinder_needed_psig(66.39, 0.399, 135)
        assert psig == pytest.approx(2580.95, abs=0.01)
        assert up_to(psig, 100) == 2600

    def test_a_whole_number_of_minutes_stays_whole(self) -> None:
        """Only what is over a minute is charged as another: 90 fsw at 30 a minute is 3."""
        assert ascent_minutes(90, 0) == 3
        assert ascent_minutes(90.1, 0) == 4
        assert ascent_minutes(0, 0) == 0


class TestMinutesLeft:
    def test_minutes_of_the_example_bank(self) -> None:
        """Sample Problem 2: 5675 scf, two divers and standby at 6.915 scfm each: 273.5 min."""
        assert minutes_left(bank_scf(BANK, 3000, 193), 3 * scfm(1.4, 130)) == 273

    def test_minutes_are_rounded_down_but_not_by_noise(self) -> None:
        assert minutes_left(59.99, 2) == 29
        assert minutes_left(0.1 + 0.2, 0.1) == 3
        assert minutes_left(0, 2) == 0

    def test_no_demand_no_minutes(self) -> None:
        assert minutes_left(100, 0) is None


SYSTEMS = list(itertools.product(["fsw", "msw"], ["psig", "bar"], ["cu ft", "l"]))
PER_FSW = {"fsw": 1.0, "msw": 101.325 / 33 / 10}
PER_PSI = {"psig": 1.0, "bar": 0.06894757293168}
PER_CU_FT = {"cu ft": 1.0, "l": 28.316846592}


@quick
@given(st.floats(10, 300), st.floats(1000, 5000), st.floats(2, 20))
def test_units_never_mix(depth_fsw: float, psig: float, cu_ft: float) -> None:
    """One bank typed in every combination of units lasts the same, but for the third decimal typed."""
    answers = []
    for depth, pressure, volume in SYSTEMS:
        at_fsw = parse_depth(f"{depth_fsw * PER_FSW[depth]:.3f} {depth}", "fsw")
        at_psig = parse_pressure(f"{psig * PER_PSI[pressure]:.3f}", pressure)
        flask = parse_volume(f"{cu_ft * PER_CU_FT[volume]:.3f}{volume}", "l")
        usable = cylinder_scf(at_psig, 200 + at_fsw * 0.445 + 50, flask, 4)
        answers.append(usable / scfm(6, at_fsw))
    assert answers == pytest.approx([answers[0]] * len(SYSTEMS), rel=1e-3)


@quick
@given(st.floats(0, 6000), st.integers(1, 5), st.floats(0, 400), st.floats(0, 400))
def test_more_depth_or_more_divers_never_last_longer(
    psig: float, divers: int, one: float, other: float
) -> None:
    low, high = sorted([one, other])

    def lasts(depth_fsw: float, count: int) -> int:
        usable = bank_scf(BANK, psig, by_rounded_bottom(depth_fsw, 100))
        minutes = minutes_left(usable, scfm(6, depth_fsw) * count)
        assert minutes is not None
        return minutes

    assert lasts(high, divers) <= lasts(low, divers)
    assert lasts(low, divers + 1) <= lasts(low, divers)


@quick
@given(st.floats(0, 400), st.floats(0, 400), st.integers(1, 4))
def test_a_longer_ascent_never_takes_less_air(one: float, other: float, divers: int) -> None:
    low, high = sorted([one, other])
    assert ascent_scf(low, 0, 6, divers) <= ascent_scf(high, 0, 6, divers)
    assert ascent_scf(low, 0, 6, divers) <= ascent_scf(low, 0, 6, divers + 1)


@quick
@given(st.floats(1, 500), st.floats(0.2, 5), st.floats(50, 300))
def test_the_needed_cylinder_pressure_holds_just_that_much(scf: float, cu_ft: float, least: float) -> None:
    psig = cylinder_needed_psig(scf, cu_ft, least)
    assert cylinder_scf(psig, least, cu_ft) == pytest.approx(scf)
