"""The ladder of leaving times, and divers who ascend together."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from station.dive.ascent import Ascent
from station.dive.ladder import Air, air_climb, ladder
from station.dive.schedule import NoSchedule
from station.dive.text import stops_text
from station.dive.together import Own, common
from station.tables.model import Tables

LEFT = datetime(2026, 5, 4, 8, 0, tzinfo=UTC)


def at(minutes: int, seconds: int = 0) -> datetime:
    return LEFT + timedelta(minutes=minutes, seconds=seconds)


def test_a_rung_for_every_row_from_the_one_in_force(tables: Tables) -> None:
    """USN Rev 7, Table 9-9: 120 fsw after 51:10 is on row 55; the rows after it to the last, 120/120."""
    found = ladder(tables, 117, LEFT, at(51, 10), air_climb(tables, 115))
    assert [rung.schedule.row_time for rung in found.rungs] == [55, 60, 70, 80, 90, 100, 110, 120]
    assert [rung.in_force for rung in found.rungs] == [True] + [False] * (len(found.rungs) - 1)
    first = found.in_force
    assert first is not None
    assert (first.leave_by, first.left_s) == (at(55), 230)
    assert (stops_text(first.schedule.stops), first.exceptional) == ("30:19 20:116", True)
    # 85 fsw of travel at 30 fsw/min, then the stops, then 0:40 from 20 fsw.
    assert first.ascent.total_s == 170 + (19 + 116) * 60 + 40
    assert first.surface_at == at(55) + timedelta(seconds=first.ascent.total_s)
    assert found.after is not None
    assert found.after.reason == "no schedule at 120 fsw for 121 min: the longest there is 120 min"


def test_which_rungs_are_exceptional_goes_by_the_gas(tables: Tables) -> None:
    """USN Rev 7, Table 9-9: at 40 fsw exceptional unless on oxygen up to 480 min, then on any gas."""
    by_gas = {}
    for gas in ("air", "air_oxygen", "surface_oxygen"):
        rungs = ladder(tables, 40, LEFT, at(420), air_climb(tables, 40), gas=gas).rungs
        by_gas[gas] = [rung.schedule.row_time for rung in rungs if rung.exceptional]
    assert by_gas["air"] == [420, 480, 540, 600, 660, 720]
    assert by_gas["air_oxygen"] == by_gas["surface_oxygen"] == [540, 600, 660, 720]


def test_residual_time_brings_every_leaving_time_forward(tables: Tables) -> None:
    """USN Rev 7: 60 fsw, limit 63; 40 min of residual time leave 23 min of bottom time."""
    found = ladder(tables, 60, LEFT, at(20), air_climb(tables, 60), added_min=40).in_force
    assert found is not None
    assert (found.schedule.name, found.leave_by, found.left_s) == ("60/63", at(23), 180)


def test_the_last_second_of_a_row(tables: Tables) -> None:
    """Exactly 63:00 is still 63; the next millisecond is on the next row."""
    moment = at(63)
    held = ladder(tables, 60, LEFT, moment, air_climb(tables, 60)).in_force
    gone = ladder(tables, 60, LEFT, moment + timedelta(milliseconds=1), air_climb(tables, 60)).in_force
    assert held is not None
    assert gone is not None
    assert (held.schedule.name, held.left_s) == ("60/63", 0)
    assert (gone.schedule.name, gone.left_s) == ("60/65", 119)


def test_a_lengthened_ladder_names_the_longer_rows_but_keeps_the_leaving_times(tables: Tables) -> None:
    found = ladder(tables, 120, LEFT, at(51), air_climb(tables, 120), lengthen=True).rungs[0]
    assert (found.schedule.row_time, found.leave_by) == (60, at(55))


def test_nothing_ends_an_unlimited_row(tables: Tables) -> None:
    found = ladder(tables, 10, LEFT, at(30), air_climb(tables, 10))
    assert found.after is None
    rung = found.rungs[-1]
    assert (rung.leave_by, rung.left_s, rung.surface_at, rung.covers) == (None, None, None, None)


def test_without_a_schedule_there_is_no_rung(tables: Tables) -> None:
    found = ladder(tables, 310, LEFT, at(5), air_climb(tables, 310))
    assert (found.rungs, found.in_force) == ((), None)
    assert isinstance(found.after, NoSchedule)


def stops_scf(ascent: Ascent, _leave_by: datetime | None = None) -> float:
    return sum(stop.minutes for stop in ascent.stops) * 10 + 0.5


@pytest.mark.parametrize(
    ("usable", "reserve", "spare", "covers"),
    [
        # 60 fsw row 65: leave at 65 min, 20 fsw 2 min: 20.5 scf; bottom 65 - 60 min at 30 scfm: 150 scf.
        (300.0, 100.0, 29, True),
        (270.5, 100.0, 0, True),
        (270.4, 100.0, -1, False),
        (None, 100.0, None, None),
    ],
)
def test_air_for_everyone_from_now_to_the_surface(
    tables: Tables,
    usable: float | None,
    reserve: float,
    spare: int | None,
    covers: bool | None,  # noqa: FBT001
) -> None:
    air = Air(stops_scf, usable, at(60), 30, reserve)
    rung = ladder(tables, 60, LEFT, at(64), air_climb(tables, 60), air=air).rungs[0]
    assert (rung.air_scf, rung.spare_scf, rung.covers) == (21, spare, covers)


def test_longer_rungs_cost_more(tables: Tables) -> None:
    """A longer bottom time never shortens the ascent, nor leaves more air over."""
    for depth in tables.depths:
        air = Air(stops_scf, 5000, LEFT, 10, 100)
        rungs = ladder(tables, depth, LEFT, LEFT, air_climb(tables, depth), air=air).rungs
        for before, here in pairwise(rungs):
            assert before.leave_by is not None
            assert here.leave_by is None or here.leave_by > before.leave_by
            assert here.ascent.total_s >= before.ascent.total_s
            if before.spare_scf is not None and here.spare_scf is not None:
                assert here.spare_scf < before.spare_scf


def test_together_the_deeper_depth_and_the_longer_time_lead() -> None:
    """Station choice: both follow the deeper table depth and the longer bottom time."""
    red, green = Own(1, "A. Red", 82, 30), Own(2, "B. Green", 79, 36)
    both = common([green, red], "fsw")
    assert both is not None
    assert (both.depth, both.minutes, both.depth_lane, both.minutes_lane) == (82, 36, 1, 2)
    assert both.words_for(red) == "together: depth 82 fsw of A. Red, time 36 min of B. Green"
    assert not both.lengthened


def test_whose_own_figures_lead_is_told_so() -> None:
    led, leads = Own(1, "A. Red", 60, 30), Own(2, "B. Green", 79, 36)
    both = common([led, leads], "fsw")
    assert both is not None
    assert both.words_for(leads).startswith("own figures lead")
    assert not both.words_for(led).startswith("own")


def test_a_lengthened_schedule_of_one_holds_for_all() -> None:
    both = common([Own(1, "A. Red", 60, 30), Own(2, "B. Green", 60, 30, lengthened=True)], "fsw")
    assert both is not None
    assert both.lengthened
    assert both.words.endswith("next longer schedule of B. Green")
    assert (both.depth_lane, both.minutes_lane) == (1, 1)


def test_one_diver_is_not_together() -> None:
    assert common([Own(1, "A. Red", 60, 30)], "fsw") is None
    assert common([], "fsw") is None


def test_the_common_figures_are_never_less_than_anyones_own() -> None:
    own = Own(1, "A. Red", 60, 30)
    for depth, minutes in ((50, 60), (60, 30), (90, 10)):
        both = common([own, replace(own, lane=2, depth=depth, minutes=minutes)], "fsw")
        assert both is not None
        assert both.depth >= max(60, depth)
        assert both.minutes >= max(30, minutes)
