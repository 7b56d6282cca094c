"""Minimum manifold pressure against published examples, in every published form."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.errors import LookUpError
from station.shipped import shipped
from station.supply.load import load_supply
from station.supply.model import Band, BandForm, Equipment, LineForm, Supply
from station.supply.pressure import (
    bottom_psi,
    bottom_psia,
    by_hose_line,
    by_rounded_bottom,
    by_rounded_sum,
    margin_psi,
    needed,
    over_bottom_psig,
    whole_bottom_psi,
)

quick = settings(derandomize=True, deadline=None, max_examples=200)


def thousandths(limit: int) -> st.SearchStrategy[float]:
    """Figures as fine as a station can type them."""
    return st.integers(0, limit * 1000).map(lambda count: count / 1000)


REV_4 = "U.S. Navy Diving Manual Revision 4"
REV_5 = "U.S. Navy Diving Manual Revision 5"
TM = "US Army TM 5-4220-225-14, 2-15"


@pytest.fixture(scope="module", name="supply")
def supply_() -> Supply:
    path: Path = shipped("configs") / "supply" / "deep-sea-air.toml"
    return load_supply(path.read_bytes(), path.name)


DEMAND_HELMET = Equipment(
    id="demand-helmet",
    name="demand helmet",
    pressure=BandForm(
        form="over-bottom",
        rounded="bottom",
        bands=(  # Revision 4, Table 8-1 bands; figures Revision 5, Table 8-1
            Band(over_fsw=0, down_to_fsw=60, psi=90, source=REV_5),
            Band(over_fsw=60, down_to_fsw=130, psi=135, source=REV_5),
            Band(over_fsw=130, down_to_fsw=190, psi=165, source=REV_4),
        ),
    ),
)
FULL_FACE_MASK = Equipment(
    id="mask",
    name="full-face mask",
    pressure=LineForm(form="line", psi_per_fsw=0.445, plus_psi=90, down_to_fsw=190, source=REV_5),
)
FREE_FLOW_300_FT = Equipment(
    id="free-flow-300",
    name="free-flow helmet",
    hose_ft=300,
    pressure=LineForm(form="line", psi_per_fsw=0.50, plus_psi=42, down_to_fsw=190, source=TM),
)
FREE_FLOW_600_FT = Equipment(
    id="free-flow-600",
    name="free-flow helmet",
    hose_ft=600,
    pressure=LineForm(form="line", psi_per_fsw=0.62, plus_psi=42, down_to_fsw=190, source=TM),
)


class TestPublishedExamples:
    @pytest.mark.parametrize(
        ("depth_fsw", "bottom", "psig"),
        [
            # Revision 4 Change A, 8-2.2.3, Sample Problem 1 (page 8-4): 77.875 up to 78, + 165
            (175, 78, 243),
            # 8-2.2.3 formula; over-bottom band from Revision 5, Table 8-1 note 1: 57.85 up to 58, + 135
            (130, 58, 193),
            # the same: 26.7 up to 27, + 90
            (60, 27, 117),
        ],
    )
    def test_minimum_manifold_pressure_of_a_demand_helmet(
        self, depth_fsw: float, bottom: int, psig: int
    ) -> None:
        assert whole_bottom_psi(depth_fsw) == bottom
        assert needed(DEMAND_HELMET, depth_fsw, 0.445).psig == psig

    def test_minimum_manifold_pressure_of_a_full_face_mask(self) -> None:
        """Revision 5, Table 8-1: 0.445 x depth + 90; 116.7 exact, 117 shown."""
        assert by_hose_line(60, 0.445, 90) == pytest.approx(116.7)
        assert needed(FULL_FACE_MASK, 60, 0.445).psig == 117

    def test_minimum_manifold_pressure_by_hose_length(self) -> None:
        """US Army TM 5-4220-225-14, 2-15, limited compressor: depth x 0.50 + 42 for 300 ft of hose."""
        assert by_hose_line(100, 0.50, 42) == pytest.approx(92)
        assert needed(FREE_FLOW_300_FT, 100, 0.445).psig == 92
        # The same paragraph's 600 ft figure, depth x 0.62 + 42.
        assert needed(FREE_FLOW_600_FT, 100, 0.445).psig == 104

    def test_console_pressure_normal(self) -> None:
        """US Army TM 5-4220-225-14, 2-15: depth pressure + 60 psi; 0.445 from Revision 4, 8-2.2.3."""
        assert over_bottom_psig(100, 60) == pytest.approx(104.5)

    def test_minimum_manifold_pressure_of_a_heavy_helmet(self, supply: Supply) -> None:
        """From memory: Navy manual of the 1970s, 50 psi to 120 ft; 40.05 up to 41."""
        assert whole_bottom_psi(90) == 41
        assert needed(supply.equipment_of(), 90, supply.depth.psi_per_fsw).psig == 91

    def test_a_heavy_helmet_deeper_than_120_ft(self, supply: Supply) -> None:
        """From memory, the same: 100 psi deeper; 120 ft itself still has 50. 53.4 up to 54, 53.845 to 54."""
        assert needed(supply.equipment_of(), 120, supply.depth.psi_per_fsw).psig == 104
        assert needed(supply.equipment_of(), 121, supply.depth.psi_per_fsw).psig == 154

    def test_gauge_pressure(self) -> None:
        """Revision 4, 8-2.2.3 constant."""
        assert bottom_psi(33) == pytest.approx(14.685)

    def test_absolute_psi(self) -> None:
        """Revision 4, 8-2.2.1 and 8-2.2.3 constants."""
        assert bottom_psia(130) == pytest.approx(72.55)

    def test_0_445_is_an_atmosphere_over_33_to_a_thousandth(self) -> None:
        """The published constant against NIST SP 811 figures: short by less than 0.14 psi at 400 fsw."""
        exact = 101_325 / 6894.757293168 / 33
        assert 0 < (exact - 0.445) * 400 < 0.14


class TestTheTwoRoundings:
    """Revision 4, 8-2.2.3 rounds the bottom pressure up; 15-8.1 rounds the sum."""

    def test_they_differ_by_1_psi_where_over_bottom_is_not_whole(self) -> None:
        assert by_rounded_bottom(100, 42.5) == 88  # 44.5 up to 45, + 42.5 = 87.5
        assert by_rounded_sum(100, 42.5) == 87  # 44.5 + 42.5 = 87.0

    def test_a_file_chooses_which(self) -> None:
        bands = (Band(over_fsw=0, down_to_fsw=190, psi=42.5, source=REV_4),)
        found = [
            needed(
                Equipment(id="a", name="a", pressure=BandForm(form="over-bottom", rounded=by, bands=bands)),
                100,
                0.445,
            )
            for by in ("bottom", "sum")
        ]
        assert [one.psig for one in found] == [88, 87]
        assert "45 psi bottom" in found[0].words
        assert "44.5 psi bottom" in found[1].words

    def test_they_agree_on_whole_over_bottom_figures(self) -> None:
        for depth_fsw in range(401):
            assert by_rounded_bottom(depth_fsw, 135) == by_rounded_sum(depth_fsw, 135)

    @quick
    @given(thousandths(400), thousandths(300))
    def test_the_bottom_form_is_the_safer_by_at_most_1_psi(self, depth_fsw: float, over: float) -> None:
        assert 0 <= by_rounded_bottom(depth_fsw, over) - by_rounded_sum(depth_fsw, over) <= 1


class TestWords:
    def test_a_figure_says_where_it_comes_from(self) -> None:
        assert needed(DEMAND_HELMET, 175, 0.445).words == (
            "243 psig at 175 fsw = 78 psi bottom (0.445 psi/fsw, bottom rounded up) + 165 psi over bottom; "
            + REV_4
        )
        assert needed(FREE_FLOW_300_FT, 100, 0.445).words == (
            "92 psig at 100 fsw = depth x 0.5 + 42 psi, rounded up; " + TM
        )

    @pytest.mark.parametrize("equipment", [DEMAND_HELMET, FREE_FLOW_300_FT])
    def test_no_figure_is_made_up_below_the_last_one(self, equipment: Equipment) -> None:
        with pytest.raises(LookUpError, match="at 191 fsw"):
            needed(equipment, 191, 0.445)


def test_a_margin_is_rounded_down() -> None:
    assert margin_psi(100.9, 91) == 9
    assert margin_psi(90.9, 91) == -1


@quick
@given(
    st.floats(0, 190), st.floats(0, 190), st.sampled_from([DEMAND_HELMET, FULL_FACE_MASK, FREE_FLOW_600_FT])
)
def test_deeper_never_needs_less(one: float, other: float, equipment: Equipment) -> None:
    low, high = sorted([one, other])
    assert needed(equipment, low, 0.445).psig <= needed(equipment, high, 0.445).psig


@quick
@given(st.floats(0, 400))
def test_the_shipped_minimum_is_never_below_its_own_formula(depth_fsw: float) -> None:
    path = shipped("configs") / "supply" / "deep-sea-air.toml"
    supply = load_supply(path.read_bytes(), path.name)
    over = 50 if depth_fsw <= 120 else 100
    assert needed(supply.equipment_of(), depth_fsw, 0.445).psig >= depth_fsw * 0.445 + over - 1e-6
