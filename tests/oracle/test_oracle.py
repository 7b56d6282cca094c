"""Thousands of made-up dives, reckoned twice: by the station and by the plain second reckoning beside it."""

from datetime import timedelta
from random import Random

import pytest
from oracle_dives import START, Made, at, bottom, moments, ms, way_up
from oracle_tables import Paper, Sheet, Unsettled, clock, up

from station.dive.altitude import correction
from station.dive.follow import Live, follow
from station.dive.ladder import air_climb, ladder
from station.dive.planning import plan
from station.dive.repetitive import residual
from station.dive.schedule import NoSchedule, Schedule, select
from station.dive.series import EarlierDive
from station.shipped import shipped
from station.tables.load import load_tables
from station.tables.model import Tables

PATH = shipped("configs") / "tables" / "usn-rev7-air.toml"


@pytest.fixture(scope="module")
def paper() -> Paper:
    """The tables as the second reckoning reads them."""
    return Paper(PATH)


@pytest.fixture(scope="module")
def tables() -> Tables:
    """The tables as the station reads them."""
    return load_tables(PATH.read_bytes(), PATH.name)


def sheet_of(found: Schedule | NoSchedule) -> Sheet:
    """Write the station's schedule as the second reckoning does."""
    if isinstance(found, NoSchedule):
        return Sheet(none=True, fallback=None if found.fallback is None else sheet_of(found.fallback))
    stops = [[int(one.depth), one.minutes] for one in found.stops]
    return Sheet(
        found.table_depth,
        found.row_time,
        found.row_time is None,
        found.no_stop,
        stops,
        found.group,
        found.exposure.name,
    )


def alike(live: Live, made: Made, paper: Paper, now: int) -> list[str]:
    """List what the two reckonings do not agree on."""
    climb = made.climb(paper, now)
    left = made.time("left_bottom") or now
    wrong: list[object] = [
        (name, mine, its)
        for name, mine, its in (
            ("depth", made.depth(paper), live.depth.depth),
            ("departure", climb.departure, live.departure_depth),
            ("bottom", up(left, 60_000), live.bottom_min),
            ("residual", made.residual(paper), live.residual_min),
        )
        if mine != its
    ]
    if climb.sheet.none and (now == left or not made.time("left_bottom")):
        return [str(one) for one in (*wrong, *differ("sheet", climb.sheet, sheet_of(live.schedule)))]
    way = climb.go(made.marks, now)
    wrong += [("added", way.added, live.delay_min)] * (way.added != live.delay_min)
    wrong += differ("sheet", way.sheet, sheet_of(live.schedule))
    wrong += differ("late", way.late, [(d.kind, d.delay_ms, d.minutes) for d in live.deviations if d.minutes])
    mine = [
        (s.depth, s.minutes, s.arrive, s.start, s.due, s.reached, s.left, up(s.missing, 1000))
        for s in way.stops
    ]
    its = [
        (
            int(s.depth),
            s.minutes,
            ms(s.due_arrive),
            ms(s.starts),
            ms(s.due_leave),
            ms(s.reached),
            ms(s.left),
            s.missing_s,
        )
        for s in live.stops
    ]
    wrong += differ("stops", mine, its)
    here = next((one for one in way.stops if one.reached is not None and one.left is None), None)
    if here is not None and live.phase == "at a stop" and live.stop is not None:
        left_over, to_wait = max(0, here.due - max(now, here.start)), max(0, here.start - now)
        wrong += differ(
            "here", (up(left_over, 1000), up(to_wait, 1000)), (live.stop.remaining_s, live.stop.wait_s)
        )
    wrong += differ("surface", way.surface, ms(live.surface_at))
    wrong += differ("total", up(way.surface - left, 1000), live.total_ascent_s)
    return [str(one) for one in wrong]


def differ(name: str, mine: object, its: object) -> list[object]:
    """Tell a pair that is not the same."""
    return [] if mine == its else [(name, mine, its)]


@pytest.mark.parametrize(
    "block", [*range(2), *(pytest.param(block, marks=pytest.mark.soak) for block in range(2, 8))]
)
def test_dives_at_marks_and_between(paper: Paper, tables: Tables, block: int) -> None:
    """Each figure of the way up: schedule, stops, due times, delays, missing time, surface.

    Left out, each for the reason that `Unsettled` names, and never more than one moment in twenty.
    """
    compared = unsettled = 0
    for seed in range(block * 200, block * 200 + 200):
        random = Random(seed)  # noqa: S311 - a kept seed
        made = bottom(random, paper)
        try:
            way_up(made, random, paper)
        except Unsettled:
            unsettled += 1
        for now in moments(made, random):
            known = made.known(now)
            live = follow(tables, known.facts(), at(now))
            try:
                wrong = alike(live, known, paper, now)
            except Unsettled:
                unsettled += 1
                continue
            compared += 1
            assert wrong == [], (seed, now, known)
    assert compared > 19 * unsettled


def test_every_printed_row(paper: Paper, tables: Tables) -> None:
    """Table 9-9, row by row: the plan is the row, and its total the sum of its parts."""
    for row in paper.rows:
        planned = plan(tables, row["depth"], row["time"])
        minutes = sum(minutes for _, minutes in row["air_stops"])
        parts = clock(row["to_first_stop"]) + 60 * minutes + (40 if minutes else 0)
        assert [[one.depth, one.minutes] for one in planned.stops] == row["air_stops"]
        assert planned.ascent.total_s == planned.schedule.total_s == clock(row["air_total"]) == parts
        assert planned.ascent.to_first_stop_s == clock(row["to_first_stop"])
        assert sheet_of(planned.schedule) == paper.sheet(row["depth"], row["time"])


def test_schedules_at_any_depth_and_time(paper: Paper, tables: Tables) -> None:
    """Tables 9-7, 2A-1 and 9-9: no-stop, unlimited, past 25 fsw, none, and the fallback."""
    random = Random(9)  # noqa: S311 - a kept seed
    ends = sorted({0, *(row["time"] for row in paper.rows)})
    for _ in range(4000):
        depth = random.choice((random.randrange(1, 310), random.uniform(1, 60)))
        minutes = max(0, random.choice((*ends, 1102, 1103, 1440)) + random.choice((-1, 0, 1)))
        mine = paper.sheet(depth, minutes)
        assert sheet_of(select(tables, depth, minutes)) == mine, (depth, minutes)
        longer = paper.sheet(depth, mine.row + 1) if mine.stops and mine.row else mine
        if mine.stops and not longer.none:
            assert sheet_of(select(tables, depth, minutes, lengthen=True)) == longer


def test_residual_times(paper: Paper, tables: Tables) -> None:
    """Tables 9-8 and 2A-2: seconds dropped, under ten minutes one dive, beyond the last interval none."""
    random = Random(98)  # noqa: S311 - a kept seed
    for _ in range(4000):
        group, depth = random.choice("ABCDEFGHIJKLMNOZ"), random.uniform(5, 190)
        interval = random.choice((random.randrange(30 * 60), random.randrange(17 * 3600)))
        before = EarlierDive(START - timedelta(seconds=interval), group, 70.0, 33, "a record")
        found = residual(tables, [before], START, depth)
        if interval < 600:
            assert (found.kind, found.minutes, found.enters(depth)) == ("one dive", 33, max(depth, 70.0))
        else:
            assert found.minutes == paper.residual(group, interval * 1000, depth), (group, interval, depth)


def test_the_ladder_goes_through_every_row(paper: Paper, tables: Tables) -> None:
    """One rung for each row from the one in force: leave by the row's time less what earlier dives add."""
    random = Random(99)  # noqa: S311 - a kept seed
    for _ in range(300):
        depth, added, gone = random.randrange(10, 301), random.choice((0, 0, 17)), random.randrange(1, 90)
        rungs = ladder(
            tables, depth, START, START + timedelta(minutes=gone), air_climb(tables, depth), added_min=added
        ).rungs
        sheet, mine = paper.sheet(depth, gone + added), []
        while not sheet.none:
            mine.append((sheet, None if sheet.row is None else START + timedelta(minutes=sheet.row - added)))
            sheet = Sheet(none=True) if sheet.row is None else paper.sheet(depth, sheet.row + 1)
        assert [(sheet_of(one.schedule), one.leave_by) for one in rungs] == mine, (depth, added, gone)


def test_depths_at_altitude(paper: Paper, tables: Tables) -> None:
    """Depth x 1013.25 / p, p of the ICAO atmosphere in its metric form, then the next row."""
    random = Random(7)  # noqa: S311 - a kept seed
    main = sorted({*paper.depths, 10, 15, 20, 25})
    for _ in range(3000):
        site = random.choice((0, 300, 301, 999, 1000, 1001, 10_000, random.randrange(10_001)))
        depth = float(random.randrange(10, 190))
        found = correction(tables, site, depth)
        if site <= 300 or (site < 1000 and depth <= 145):
            assert (found.equivalent, found.stop_depth(20)) == (depth, 20)
            continue
        share = (1 - 0.0065 * 0.3048 * 1000 * up(site, 1000) / 288.15) ** 5.25588
        assert found.equivalent == pytest.approx(depth / share, rel=1e-5)
        assert found.table_depth == min(
            (one for one in main if one >= depth / share), default=found.equivalent
        )
        assert found.stop_depth(20) == round(20 * share)
