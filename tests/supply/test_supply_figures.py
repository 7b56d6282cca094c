"""Live figures: readings with their age, what the divers need now, and how long each bank lasts."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.moments import age_s
from station.shipped import shipped
from station.supply.figures import SupplyFigures, figures
from station.supply.load import load_supply
from station.supply.model import Compressor, Equipment, LineForm, Supply
from station.supply.need import OnHose
from station.supply.readings import Reading, doubtful, impossible

quick = settings(derandomize=True, deadline=None, max_examples=100)

NOW = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
TEN_MINUTES = timedelta(minutes=10)
SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)


def ago(pressure_psig: float, seconds: float = 60) -> Reading:
    return Reading(pressure_psig, NOW - timedelta(seconds=seconds))


def now_figures(readings: dict[str, Reading], *divers: OnHose, supply: Supply = SUPPLY) -> SupplyFigures:
    return figures(supply, readings, divers, NOW, TEN_MINUTES)


class TestOneDiver:
    """At 90 fsw on heavy work: 91 psig at the manifold, 6 x 123/33 = 22.36 scfm, the standby the same."""

    found = now_figures({"manifold": ago(120), "bank-1": ago(2800, 200.2)}, OnHose(1, 90))

    def test_manifold(self) -> None:
        manifold = self.found.manifold
        assert (manifold.pressure_psig, manifold.age_s, manifold.stale) == (120, 60, False)
        assert (manifold.minimum_psig, manifold.margin_psi) == (91, 29)
        assert not manifold.below_minimum
        assert manifold.minutes_left is None
        assert "50 psi over bottom; from memory" in self.found.pressure_words

    def test_bank(self) -> None:
        """By hand: (2800 - 291) / 14.7 x 8 x 8 = 10923.5 scf by the trade's formula.

        As a real gas, Z at 30 C by the reference equation (Lemmon et al., 2000, through CoolProp 8):
        2814.7 / 14.7 / 1.03117 less 305.7 / 14.7 / 0.99517, x 64 x 283.15 / 303.15 = 9850.8 scf, within the
        bound of the station's own fit; over 44.727 scfm 220.2 min.
        """
        bank = self.found.banks[0]
        assert (bank.age_s, bank.minimum_psig, bank.margin_psi) == (201, 291, 2509)
        assert (bank.usable_scf, bank.minutes_left) == (9849, 220)
        assert (bank.ideal_scf, bank.real_scf) == (10923, 9849)

    def test_a_bank_that_was_never_read_says_so(self) -> None:
        bank = self.found.banks[1]
        assert (bank.pressure_psig, bank.age_s, bank.stale) == (None, None, True)
        assert (bank.usable_scf, bank.minutes_left, bank.margin_psi) == (None, None, None)
        assert not bank.below_minimum

    def test_diver(self) -> None:
        (diver,) = self.found.divers
        assert (diver.lane, diver.needed_psig, diver.margin_psi, diver.scfm) == (1, 91, 29, 22.4)
        assert diver.flow_words.startswith("6 acfm (heavy work) x (90 + 33) / 33; from memory")

    def test_a_hose_brings_its_equipment(self) -> None:
        """US Army TM 5-4220-225-14, 2-15: 600 ft of hose, depth x 0.62 + 42; 97.8 up to 98."""
        form = LineForm(form="line", psi_per_fsw=0.62, plus_psi=42, down_to_fsw=190, source="TM")
        long = Equipment(id="long", name="long", hose_ft=600, pressure=form)
        hose = SUPPLY.hoses[0].model_copy(update={"equipment": "long", "length_ft": 600})
        supply = SUPPLY.model_copy(update={"equipment": (*SUPPLY.equipment, long), "hoses": (hose,)})
        divers = [
            OnHose(1, 90),
            OnHose(2, 90, hose="hose-1"),
            OnHose(3, 90, "deep-sea-helmet", hose="hose-1"),
        ]
        found = now_figures({}, *divers, supply=supply)
        assert [diver.needed_psig for diver in found.divers] == [91, 98, 91]

    def test_demand_is_shown_rounded_up(self) -> None:
        assert self.found.demand_scfm == 44.8  # 44.727


class TestSeveralDivers:
    def test_the_deepest_sets_the_manifold_and_each_keeps_a_margin(self) -> None:
        found = now_figures({"manifold": ago(120)}, OnHose(1, 60), OnHose(2, 130))
        assert found.needed_psig == found.manifold.minimum_psig == 158
        assert [diver.margin_psi for diver in found.divers] == [43, -38]
        assert found.manifold.below_minimum

    def test_the_standby_is_charged_like_the_one_who_draws_most(self) -> None:
        """6 x (93 + 163 + 163) / 33 = 76.18 scfm."""
        assert now_figures({}, OnHose(1, 60), OnHose(2, 130)).demand_scfm == 76.2

    def test_a_file_may_leave_the_standby_out(self) -> None:
        consumption = SUPPLY.consumption.model_copy(update={"charge_standby": False})
        alone = SUPPLY.model_copy(update={"consumption": consumption})
        found = now_figures({}, OnHose(1, 60), OnHose(2, 130), supply=alone)
        assert found.demand_scfm == 46.6  # 6 x (93 + 163) / 33 = 46.545
        assert "standby" not in found.flow_words

    def test_a_work_rate_of_ones_own(self) -> None:
        (diver,) = now_figures({}, OnHose(1, 99, work_rate="least")).divers
        assert diver.scfm == 18.0  # 46 CFR 197.322(b): 4.5 acfm at 99 fsw


class TestEdges:
    def test_nobody_on_a_hose(self) -> None:
        found = now_figures({"bank-1": ago(2800)})
        assert (found.demand_scfm, found.divers) == (0, ())
        assert found.banks[0].ideal_scf == 11102  # (2800 - 200 - 50) / 14.7 x 8 x 8 = 11102.04
        assert found.banks[0].usable_scf == found.banks[0].real_scf == 10017
        assert found.banks[0].minutes_left is None
        assert found.flow_words == "nobody on a hose"

    def test_deeper_than_the_file_knows_no_figure_is_made_up(self) -> None:
        found = now_figures({"manifold": ago(150), "bank-1": ago(2800)}, OnHose(1, 60), OnHose(2, 401))
        bank = found.banks[0]
        assert (found.needed_psig, found.manifold.margin_psi, bank.minutes_left) == (None, None, None)
        assert "deeper than its last figure" in found.pressure_words
        assert bank.usable_scf is None
        assert found.divers[0].margin_psi == 73

    def test_a_bank_below_its_minimum_has_nothing_left(self) -> None:
        bank = now_figures({"bank-1": ago(290)}, OnHose(1, 90)).banks[0]
        assert (bank.margin_psi, bank.usable_scf, bank.minutes_left) == (-1, 0, 0)
        assert bank.below_minimum

    @pytest.mark.parametrize(("seconds", "stale"), [(599, False), (600, False), (600.001, True)])
    def test_a_reading_grows_old(self, seconds: float, *, stale: bool) -> None:
        assert now_figures({"manifold": ago(120, seconds)}).manifold.stale is stale

    def test_a_compressor_against_the_need(self) -> None:
        one = Compressor(
            id="compressor",
            name="Compressor",
            role="primary",
            delivers_scfm=44,
            delivers_psig=90,
            source="its plate",
        )
        found = now_figures({}, OnHose(1, 90), supply=SUPPLY.model_copy(update={"compressors": (one,)}))
        (figure,) = found.compressors
        assert (figure.spare_scfm, figure.margin_psi) == (-0.8, -1)  # 44 - 44.727, 90 - 91
        assert figure.words == "delivers 44 scfm at 90 psig; its plate"


class TestReadings:
    def test_ages_are_rounded_up_and_never_below_zero(self) -> None:
        assert age_s(ago(1, 60.001).at, NOW) == 61
        assert age_s(ago(1, -5).at, NOW) == 0

    @pytest.mark.parametrize(
        ("source", "psig", "why"),
        [
            ("manifold", 601, "0 to 600"),
            ("bank-1", 99999, "0 to 5000"),
            ("bank-1", -1, "0 to 5000"),
            ("bank-1", float("nan"), "0 to 5000"),
            ("bank-9", 100, "no gauge 'bank-9'"),
        ],
    )
    def test_what_no_gauge_can_show_is_named(self, source: str, psig: float, why: str) -> None:
        assert why in (impossible(SUPPLY, source, psig) or "")

    @pytest.mark.parametrize(("source", "psig"), [("manifold", 600), ("manifold", 0), ("bank-3", 5000)])
    def test_what_a_gauge_can_show_passes(self, source: str, psig: float) -> None:
        assert impossible(SUPPLY, source, psig) is None

    def test_above_working_pressure_is_doubtful(self) -> None:
        assert "above the working pressure of Bank 1, 3000" in (doubtful(SUPPLY, "bank-1", 3001) or "")
        assert doubtful(SUPPLY, "bank-1", 3000) is None
        assert doubtful(SUPPLY, "manifold", 600) is None


depths = st.floats(0, 400)


@quick
@given(st.floats(0, 5000), st.lists(depths, min_size=1, max_size=4), depths)
def test_one_diver_more_never_makes_a_bank_last_longer(psig: float, at: list[float], more: float) -> None:
    readings = {"bank-1": ago(psig)}
    divers = [OnHose(lane, depth) for lane, depth in enumerate(at, 1)]
    fewer = now_figures(readings, *divers).banks[0].minutes_left
    greater = now_figures(readings, *divers, OnHose(9, more)).banks[0].minutes_left
    assert fewer is not None
    assert greater is not None
    assert greater <= fewer


@quick
@given(st.floats(0, 600), st.floats(0, 5000), depths, depths)
def test_going_deeper_never_improves_a_figure(manifold: float, bank: float, one: float, other: float) -> None:
    low, high = sorted([one, other])
    readings = {"manifold": ago(manifold), "bank-1": ago(bank)}
    above, below = (now_figures(readings, OnHose(1, depth)) for depth in (low, high))
    pairs = [
        (above.manifold.margin_psi, below.manifold.margin_psi),
        (above.banks[0].margin_psi, below.banks[0].margin_psi),
        (above.banks[0].usable_scf, below.banks[0].usable_scf),
        (above.banks[0].minutes_left, below.banks[0].minutes_left),
    ]
    for upper, lower in pairs:
        assert upper is not None
        assert lower is not None
        assert lower <= upper
