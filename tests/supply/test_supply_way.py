"""The air of everyone's way home against published examples; more of anything never needs less."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.shipped import shipped
from station.supply.load import load_supply
from station.supply.model import Chamber, Supply, WorkRate
from station.supply.need import OnHose
from station.supply.way import Way, demand

quick = settings(derandomize=True, deadline=None, max_examples=200)

SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
REV_4 = "U.S. Navy Diving Manual Revision 4, 8-2.2.1"


def with_rate(acfm: float, *, standby: bool) -> Supply:
    consumption = SUPPLY.consumption.model_copy(update={"work_rate": "demand", "charge_standby": standby})
    rate = WorkRate(id="demand", name="demand helmet", acfm=acfm, source=REV_4)
    return SUPPLY.model_copy(update={"work_rates": (*SUPPLY.work_rates, rate), "consumption": consumption})


class TestPublishedExamples:
    def test_emergency_gas(self) -> None:
        """Revision 4 Change A, 8-2.2.1: 3 min at 190 fsw, 7 min up at 95: 28.38 + 38.01 = 66.39 scf."""
        found = demand(with_rate(1.4, standby=False), [Way(OnHose(1, 190), stay_min=3)])
        assert [round(part.scf, 2) for part in found.parts] == [28.38, 38.01]
        assert found.scf == pytest.approx(66.39, abs=0.01)
        assert found.minutes == 10

    def test_bank_demand_ascent(self) -> None:
        """Method of 8-2.2.1 on Sample Problem 2: two divers and standby up from 130 fsw, 62.36 scf."""
        ways = [Way(OnHose(1, 130)), Way(OnHose(2, 130))]
        assert demand(with_rate(1.4, standby=True), ways).scf == pytest.approx(62.36, abs=0.005)


class TestParts:
    """120/55 of the air table: 115 fsw, stops 30:19 and 20:116, heavy work at 6 acfm, and the standby."""

    found = demand(SUPPLY, [Way(OnHose(1, 115), ((30, 19), (20, 116)), stay_min=2.5)])

    def test_every_part_is_charged_in_whole_minutes(self) -> None:
        parts = [part for part in self.found.parts if part.consumer == "divers"]
        assert [(part.depth_fsw, part.minutes) for part in parts] == [
            (115, 3),  # 2.5 up
            (72.5, 3),  # 85 fsw at 30 a minute, 2.83 up
            (30, 19),
            (25, 1),
            (20, 116),
            (10, 1),
            (115, 1),  # the rounding below
        ]
        assert parts[0].scfm == pytest.approx(6 * 148 / 33)
        assert [part.start_min for part in parts] == [0, 3, 6, 25, 26, 142, 0]

    def test_fewer_legs_that_round_up_to_more_are_charged_on_top(self) -> None:
        """115 to 20 fsw in one piece: 4 x 100.5 / 33; in two: (3 x 105.5 + 58) / 33 cu ft per acfm."""
        extra = self.found.parts[6]
        assert extra.scf == pytest.approx(6 * (4 * 100.5 - 3 * 105.5 - 58) / 33)
        assert "fewer legs" in extra.words

    def test_the_standby_is_charged_the_same(self) -> None:
        halves = [sum(p.scf for p in self.found.parts if p.consumer == who) for who in ("divers", "standby")]
        assert halves[0] == pytest.approx(halves[1])

    def test_the_words_name_every_part(self) -> None:
        assert "lane 1 stop, 116 min at 20 fsw: 1118 scf" in self.found.words
        assert "standby stop, 116 min at 20 fsw" in self.found.words

    def test_the_deepest_diver_sets_the_manifold(self) -> None:
        assert demand(SUPPLY, [Way(OnHose(1, 60)), Way(OnHose(2, 90))]).psig == 91

    def test_nobody_needs_nothing(self) -> None:
        found = demand(SUPPLY, [])
        assert (found.scf, found.minutes, found.psig) == (0, 0, None)

    def test_a_stop_deeper_than_the_diver_is_served_without_going_down(self) -> None:
        found = demand(SUPPLY, [Way(OnHose(1, 15), ((20, 5),))])
        parts = [(part.depth_fsw, part.minutes) for part in found.parts if part.consumer == "divers"]
        assert parts == [(20, 5), (7.5, 1)]

    def test_more_than_planned_is_charged_as_it_is_drawn(self) -> None:
        way = [Way(OnHose(1, 90), ((20, 10),))]
        assert demand(SUPPLY, way, faster=1.5).scf == pytest.approx(1.5 * demand(SUPPLY, way).scf)
        assert demand(SUPPLY, way, faster=0.5).scf == demand(SUPPLY, way).scf


def test_the_chamber_comes_after_the_last_diver() -> None:
    """By hand: 2 x 400 x 165/33 = 4000 scf; ventilation 4 x 198/33 x 60 = 1440 scf."""
    chamber = Chamber(
        floodable_cu_ft=400, depth_fsw=165, pressings=2, ventilation_acfm=4, ventilation_min=60, source="-"
    )
    found = demand(SUPPLY.model_copy(update={"chamber": chamber}), [Way(OnHose(1, 90))])
    parts = [part for part in found.parts if part.consumer == "chamber"]
    assert [(part.start_min, part.scf) for part in parts] == [(3, 4000), (5, 1440)]


depths = st.floats(1, 300)
stop_lists = st.lists(st.tuples(st.sampled_from(range(10, 100, 10)), st.integers(1, 60)), max_size=5)


def way(depth: float, stops: list[tuple[int, int]], stay: float) -> Way:
    by_depth = dict(stops)
    return Way(OnHose(1, depth), tuple(sorted(by_depth.items(), reverse=True)), stay)


@quick
@given(depths, depths, stop_lists, st.floats(0, 60), st.floats(0, 60))
def test_deeper_or_longer_never_needs_less(
    one: float, other: float, stops: list[tuple[int, int]], stay: float, more: float
) -> None:
    low, high = sorted([one, other])
    least = demand(SUPPLY, [way(low, stops, stay)]).scf
    assert least <= demand(SUPPLY, [way(high, stops, stay)]).scf + 1e-9
    assert least <= demand(SUPPLY, [way(low, stops, stay + more)]).scf + 1e-9


@settings(quick, max_examples=400)
@given(depths, stop_lists, st.tuples(st.sampled_from(range(5, 100, 5)), st.integers(1, 60)))
def test_a_stop_more_never_needs_less(
    depth: float, stops: list[tuple[int, int]], more: tuple[int, int]
) -> None:
    added = [*stops, (more[0], more[1] + dict(stops).get(more[0], 0))]
    fewer, greater = demand(SUPPLY, [way(depth, stops, 0)]), demand(SUPPLY, [way(depth, added, 0)])
    assert fewer.scf <= greater.scf + 1e-9


def test_one_short_stop_after_a_long_ascent_does_not_seem_to_need_less() -> None:
    """181 to 10 and 10 to 0 fsw are 6 + 1 min; in one piece 7 min at a greater average."""
    direct, stopped = (demand(SUPPLY, [way(181, stops, 0)]).scf for stops in ([], [(10, 1)]))
    assert direct < stopped


@quick
@given(st.lists(depths, min_size=1, max_size=4), depths, stop_lists)
def test_a_diver_more_never_needs_less(at: list[float], more: float, stops: list[tuple[int, int]]) -> None:
    ways = [replace(way(depth, stops, 5), diver=OnHose(lane, depth)) for lane, depth in enumerate(at, 1)]
    greater = demand(SUPPLY, [*ways, way(more, stops, 5)])
    assert demand(SUPPLY, ways).scf < greater.scf
