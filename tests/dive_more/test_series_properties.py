"""What must hold of every pair of dives, every altitude, every wait: walked through, or tried at random."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st

from station.dive.altitude import HIGHEST_FT, correction, pressure_hpa
from station.dive.flying import wait_before_altitude
from station.dive.repetitive import residual
from station.dive.schedule import NoSchedule, Schedule, select
from station.dive.series import EarlierDive
from station.dive.together import Own, common
from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.lookup import group_after, longest_interval, residual_at

PATH = shipped("configs") / "tables" / "usn-rev7-air.toml"
TABLES = load_tables(PATH.read_bytes(), PATH.name)
GROUPS = TABLES.file.groups
SURFACED = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
TRIES = settings(derandomize=True, max_examples=300, deadline=None)

groups = st.sampled_from(GROUPS)
depths = st.floats(1, 190, allow_nan=False)
seconds = st.integers(600, 20 * 3600)


def rank(group: str | None) -> int:
    return -1 if group is None else GROUPS.index(group)


def left_after(group: str, interval_s: int, depth: float) -> float:
    """Return the residual time, endless where the table has no figure."""
    dive = EarlierDive(SURFACED, group, 60, 30, "the dive before")
    minutes = residual(TABLES, [dive], SURFACED + timedelta(seconds=interval_s), depth).minutes
    return float("inf") if minutes is None else minutes


def test_every_minute_of_every_interval_lowers_the_group_or_keeps_it() -> None:
    for group in GROUPS:
        longest = longest_interval(TABLES, group)
        assert longest is not None
        ranks = [rank(group_after(TABLES, group, minute)) for minute in range(10, longest + 2)]
        assert ranks[0] == rank(group)
        assert ranks[-2:] == [0, -1]
        assert all(before >= here for before, here in pairwise(ranks))


def test_a_heavier_group_never_ends_an_interval_lighter() -> None:
    for minute in range(10, 16 * 60):
        ranks = [rank(group_after(TABLES, group, minute)) for group in GROUPS]
        assert all(lighter <= heavier for lighter, heavier in pairwise(ranks))


def test_a_residual_time_never_grows_with_depth() -> None:
    for group in GROUPS:
        times = []
        for depth in TABLES.depths:
            found = residual_at(TABLES, depth)
            value = None if found is None else found.row.times[group]
            times.append(value if isinstance(value, int) else float("inf"))
        printed = times[: TABLES.depths.index(190) + 1]
        assert all(before >= here for before, here in pairwise(printed))


@TRIES
@given(groups, depths, seconds, st.integers(0, 3600))
def test_waiting_never_adds_residual_time(group: str, depth: float, first_s: int, more_s: int) -> None:
    assert left_after(group, first_s + more_s, depth) <= left_after(group, first_s, depth)


def test_passing_into_a_deeper_row_may_owe_less_as_printed() -> None:
    """USN Rev 7, Tables 9-8 and 9-9: B is 8 min at 110 fsw and 7 at 120, and 113 min more end on other rows.

    The published rules look the residual time up again with the depth; that a deeper repetitive dive can come
    out lighter is theirs, and why nothing here may take it for impossible.
    """
    times = [int(left_after("B", 600, depth)) + 113 for depth in (110, 120)]
    found = [select(TABLES, depth, minutes) for depth, minutes in zip((110, 120), times, strict=True)]
    assert [one.name for one in found if isinstance(one, Schedule)] == ["110/180", "120/120"]


@TRIES
@given(depths, st.integers(301, HIGHEST_FT), st.integers(0, 9700))
def test_an_equivalent_depth_is_never_shallower_and_grows_with_altitude(
    depth: float, site_ft: int, more_ft: int
) -> None:
    here = correction(TABLES, site_ft, depth)
    higher = correction(TABLES, min(HIGHEST_FT, site_ft + more_ft), depth)
    assert depth <= here.equivalent <= here.table_depth
    assert here.table_depth <= higher.table_depth
    for stop in range(20, 200, 10):
        assert higher.stop_depth(stop) <= here.stop_depth(stop) <= stop


@TRIES
@given(st.integers(1000, HIGHEST_FT), st.sampled_from(range(20, 110, 10)))
def test_a_stop_is_within_half_a_foot_of_the_same_ratio(site_ft: int, stop: int) -> None:
    """The absolute pressure at the stop stands to that of the site as in the table, but for the rounding."""
    found = correction(TABLES, site_ft, 60)
    exact = stop * pressure_hpa(found.used_ft) / 1013.25
    assert abs(found.stop_depth(stop) - exact) <= 0.5


@TRIES
@given(st.lists(st.tuples(groups, st.integers(0, 1380)), min_size=1, max_size=4), st.integers(1, 10_000))
def test_one_more_dive_never_shortens_the_wait(dives: list[tuple[str, int]], rise_ft: int) -> None:
    def until(some: list[tuple[str, int]]) -> datetime:
        series = [
            EarlierDive(SURFACED + timedelta(minutes=minute), group, 60, 30, "a dive")
            for group, minute in some
        ]
        return wait_before_altitude(TABLES, series, rise_ft).until or SURFACED

    later = max(minute for _, minute in dives) + 1
    assert until([*dives, ("A", min(later, 1381))]) >= until(dives)


@TRIES
@given(st.lists(st.tuples(st.floats(1, 190), st.integers(1, 60)), min_size=2, max_size=3))
def test_together_nobody_ascends_lighter_than_alone(divers: list[tuple[float, int]]) -> None:
    own = [Own(lane, f"diver {lane}", *one) for lane, one in enumerate(divers, 1)]
    both = common(own, TABLES.unit)
    assert both is not None
    led = select(TABLES, both.depth, both.minutes)
    for one in own:
        alone = select(TABLES, one.depth, one.minutes)
        if not isinstance(led, NoSchedule):
            assert not isinstance(alone, NoSchedule)
            assert sum(s.minutes for s in led.stops) >= sum(s.minutes for s in alone.stops)
            assert rank(led.group) >= rank(alone.group) or led.group is None
