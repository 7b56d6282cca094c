"""A demand against the sources in their order, the reserve kept: over, or short by how much."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from station.shipped import shipped
from station.supply.cover import (
    Station,
    Store,
    cover,
    divers_need_scf,
    for_divers,
    on_line,
    stores,
    without_primary,
)
from station.supply.load import load_supply
from station.supply.model import Chamber, Compressor
from station.supply.need import OnHose, need_of_all
from station.supply.readings import Reading
from station.supply.way import Demand, Part, Way, demand

quick = settings(derandomize=True, deadline=None, max_examples=100)

NOW = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
SHIPPED = shipped("configs") / "supply" / "deep-sea-air.toml"
SUPPLY = load_supply(SHIPPED.read_bytes(), SHIPPED.name)
FULL = {"bank-1": 2800.0, "bank-2": 2800.0, "bank-3": 2800.0}


def station(psig: dict[str, float], age_min: float = 0, **more: object) -> Station:
    at = NOW - timedelta(minutes=age_min)
    return Station({one: Reading(value, at) for one, value in psig.items()}, NOW, **more)  # type: ignore[arg-type]


def bank(
    one: str, scf: float | None, *, role: str = "primary", feeds: tuple[str, ...] = ("divers",)
) -> Store:
    return Store(one, one, role, feeds, scf, 0, one)  # type: ignore[arg-type]


def flow(one: str, scfm: float) -> Store:
    return Store(one, one, "primary", ("divers", "standby", "chamber"), 0, scfm, one)


def part(scfm: float, minutes: int, start: int = 0, consumer: str = "divers") -> Part:
    return Part(consumer, 1, consumer, 0, start, minutes, scfm)  # type: ignore[arg-type]


def need(*parts: Part) -> Demand:
    return Demand(parts, 91, "91 psig")


class TestStores:
    def test_in_the_order_of_change_over_with_what_each_has(self) -> None:
        """At 91 psig: bank 1 has 9849 scf as in the live figures; bank 2 has half its flasks on line."""
        found = stores(SUPPLY, station(FULL), 91, 0)
        assert [one.id for one in found] == ["bank-1", "bank-2", "bank-3"]
        assert found[0].scf == pytest.approx(9849.5, abs=0.5)
        assert found[1].scf == pytest.approx(9849.5 / 2, abs=0.5)

    def test_what_was_drawn_since_the_reading_is_gone(self) -> None:
        before, after = (stores(SUPPLY, station(FULL, age), 91, 45)[0].scf for age in (0, 10))
        assert before is not None
        assert after == pytest.approx(before - 450)

    def test_only_the_time_since_somebody_drew_counts(self) -> None:
        since = NOW - timedelta(minutes=4)
        early, late = (
            stores(SUPPLY, station(FULL, 60, drawn_since=one), 91, 45)[0].scf for one in (None, since)
        )
        assert early is not None
        assert late == pytest.approx(early + 56 * 45)

    def test_what_the_bank_on_line_could_not_give_came_from_the_next(self) -> None:
        low = {**FULL, "bank-1": 300.0}
        first, second, third = stores(SUPPLY, station(low, 10), 91, 45)
        kept = stores(SUPPLY, station(low), 91, 45)
        assert first.scf == 0
        assert None not in (second.scf, kept[0].scf, kept[1].scf)
        assert second.scf == pytest.approx((kept[0].scf or 0) + (kept[1].scf or 0) - 450)
        assert third.scf == kept[2].scf

    def test_a_bank_that_was_not_read_counts_for_nothing_and_says_so(self) -> None:
        found = stores(SUPPLY, station({"bank-1": 2800.0}), 91, 0)
        assert found[1].scf is None
        assert found[1].words == "Bank 2: not read, not counted"

    def test_a_lost_source_is_not_there(self) -> None:
        found = station(FULL, lost=frozenset({"bank-1"}))
        assert [one.id for one in stores(SUPPLY, found, 91, 0)] == ["bank-2", "bank-3"]
        assert on_line(SUPPLY, found) == "bank-2"

    def test_a_compressor_too_weak_for_the_manifold_is_not_counted(self) -> None:
        one = Compressor(
            id="c", name="C", role="primary", delivers_scfm=60, delivers_psig=90, source="its plate"
        )
        supply = SUPPLY.model_copy(update={"compressors": (one,), "change_over": ("c", *SUPPLY.change_over)})
        assert [stores(supply, station(FULL), psig, 0)[0].scfm for psig in (90, 91)] == [60, 0]


class TestCover:
    def test_over_by_the_difference_with_the_reserve_kept(self) -> None:
        sources = [bank("a", 100), bank("b", 50), bank("r", 70, role="reserve")]
        found = cover(sources, need(part(10, 12)))
        assert (found.need_scf, found.usable_scf, found.reserve_scf) == (120, 150, 70)
        assert (found.spare_scf, found.covered) == (30, True)

    def test_short_by_the_difference(self) -> None:
        found = cover([bank("a", 100), bank("r", 70, role="reserve")], need(part(10.01, 15)))
        assert (found.spare_scf, found.spare_with_reserve_scf) == (-51, 19)
        assert (found.covered, found.by_reserve_only) == (False, True)
        assert found.words.startswith("SHORT by 51 scf, the reserve kept: a")

    def test_just_enough_is_enough(self) -> None:
        assert cover([bank("a", 120)], need(part(10, 12))).covered
        assert not cover([bank("a", 119.9)], need(part(10, 12))).covered

    def test_air_that_feeds_only_the_divers_is_no_use_to_the_chamber(self) -> None:
        everyone = ("divers", "standby", "chamber")
        sources = [bank("a", 1000), bank("b", 50, feeds=everyone)]
        found = cover(sources, need(part(10, 10), part(10, 6, 10, "chamber")))
        assert found.spare_scf == -10

    def test_what_the_chamber_lacks_of_its_own_is_taken_from_the_divers_air(self) -> None:
        """100 scf for divers, 60 for the chamber, which has 50 of its own, or all it needs."""
        everyone = ("divers", "standby", "chamber")
        found = need(part(10, 10), part(10, 6, 10, "chamber"))
        for own, taken in ((50, 110), (1000, 100)):
            sources = [bank("a", 500, feeds=everyone), bank("c", own, feeds=("chamber",))]
            assert [one.id for one in for_divers(sources)] == ["a"]
            assert divers_need_scf(sources, found) == taken

    def test_air_on_a_side_nobody_draws_from_sets_no_limit(self) -> None:
        assert cover([bank("a", 1000)], need(part(10, 10))).spare_scf == 900

    def test_a_compressor_carries_its_flow_and_banks_the_rest_minute_by_minute(self) -> None:
        """67 scfm for 30 min, then 29 for 60: the 60 scfm spare later do not help in the beginning."""
        found = cover([flow("c", 60), bank("a", 200)], need(part(67, 30), part(29, 60, 30)))
        assert (found.need_scf, found.spare_scf) == (210, -10)
        assert cover([flow("c", 67)], need(part(67, 30))).covered

    def test_without_a_figure_for_the_manifold_nothing_is_known(self) -> None:
        found = cover([bank("a", 1000)], Demand((part(1, 1),), None, "deeper than its last figure"))
        assert not found.known
        assert not found.covered
        assert not found.by_reserve_only
        assert found.words == "deeper than its last figure"

    def test_if_the_primary_fails_the_secondary_brings_everyone_home(self) -> None:
        """The rule of Revision 4, 8-18: 4924 scf of bank 2 against two hours at 20 fsw for two."""
        long, short = (demand(SUPPLY, [Way(OnHose(1, 115), ((20, minutes),))]) for minutes in (300, 116))
        lost = without_primary(SUPPLY, station(FULL))
        left = stores(SUPPLY, station(FULL, lost=lost), 109, 0)
        assert cover(left, short).covered
        assert not cover(left, long).covered

    def test_a_chamber_is_part_of_it(self) -> None:
        chamber = Chamber(
            floodable_cu_ft=400,
            depth_fsw=165,
            pressings=2,
            ventilation_acfm=4,
            ventilation_min=60,
            source="-",
        )
        with_chamber = SUPPLY.model_copy(update={"chamber": chamber})
        left = stores(SUPPLY, station(FULL), 91, 0)
        spare = [cover(left, demand(one, [Way(OnHose(1, 90))])).spare_scf for one in (SUPPLY, with_chamber)]
        assert spare[0] - spare[1] == pytest.approx(5440, abs=1)


@quick
@given(
    st.lists(st.floats(1, 300), min_size=1, max_size=3),
    st.floats(1, 300),
    st.floats(300, 3000),
    st.floats(0, 120),
)
def test_a_diver_more_or_an_older_reading_never_leaves_more(
    at: list[float], more: float, psig: float, age_min: float
) -> None:
    def spare(depths: list[float], age: float) -> int:
        divers = [OnHose(lane, depth) for lane, depth in enumerate(depths, 1)]
        found = demand(SUPPLY, [Way(one, ((20, 10),)) for one in divers])
        flows = need_of_all(SUPPLY, divers)
        assert found.psig is not None
        left = stores(SUPPLY, station(dict.fromkeys(FULL, psig), age), found.psig, flows.scfm)
        return cover(left, found).spare_scf

    assert spare([*at, more], 0) <= spare(at, 0)
    assert spare(at, age_min) <= spare(at, 0)


@quick
@given(st.lists(st.floats(0, 500), min_size=2, max_size=4), st.floats(0, 100), st.integers(1, 60))
def test_cover_is_the_plain_sum_where_every_source_feeds_everybody(
    held: list[float], scfm: float, minutes: int
) -> None:
    everyone = ("divers", "standby", "chamber")
    sources = [bank(f"b{at}", scf, feeds=everyone) for at, scf in enumerate(held)]
    found = cover(sources, need(part(scfm, minutes), part(scfm, minutes, 0, "standby")))
    assert found.spare_scf == pytest.approx(sum(held) - 2 * scfm * minutes, abs=1)
