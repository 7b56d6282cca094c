"""Residual nitrogen time after an earlier dive, and every way in which there is none."""

from datetime import UTC, datetime, timedelta

import pytest

from station.dive.by_sum import side_by_side
from station.dive.depth import corrected
from station.dive.repetitive import residual
from station.dive.schedule import Schedule, select
from station.dive.series import Arrival, EarlierDive, Residual, SeriesChoices
from station.tables.model import Tables

SURFACED = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)


def earlier(
    group: str | None = "I", depth: float = 79, bottom_min: int = 33, added_min: int = 0
) -> EarlierDive:
    return EarlierDive(SURFACED, group, depth, bottom_min, "the morning dive", added_min)


def later(hours: int = 0, minutes: int = 0, seconds: int = 0) -> datetime:
    return SURFACED + timedelta(hours=hours, minutes=minutes, seconds=seconds)


def chosen(tables: Tables, depth: float, minutes: int) -> Schedule:
    found = select(tables, depth, minutes)
    assert isinstance(found, Schedule)
    return found


def test_a_pair_of_dives_from_the_first_to_the_group_after_the_second(tables: Tables) -> None:
    """Derived: USN Rev 7, Tables 9-7 and 9-8 by the published rules (78 read, 33 min; 2:00; 59 read)."""
    first = chosen(tables, corrected(tables, 78), 33)
    assert (corrected(tables, 78), first.group) == (79, "I")
    second = corrected(tables, 59)
    left = residual(tables, [earlier(first.group)], later(2), second)
    assert (second, left.kind, left.new_group, left.minutes) == (60, "repetitive", "G", 40)
    after = chosen(tables, left.enters(second), 40 + 20)
    assert (after.stops, after.group) == ((), "K")
    assert left.words == (
        "group I of the morning dive, 2:00 later group G (Table 9-8, upper part); "
        "residual nitrogen time 40 min (Table 9-8, lower part, 60 fsw, G)"
    )


@pytest.mark.parametrize(
    ("group", "hours", "minutes", "new"),
    [
        ("K", 3, 0, "H"),  # USN Rev 7, Table 9-8: 2:38 to 3:29
        ("K", 2, 38, "H"),  # same, first minute
        ("K", 3, 29, "H"),  # same, last minute
        ("Z", 0, 10, "Z"),  # same: the shortest interval
        ("Z", 15, 50, "A"),  # same: the longest
        ("A", 2, 20, "A"),  # same
    ],
)
def test_group_at_the_end_of_an_interval(
    tables: Tables, group: str, hours: int, minutes: int, new: str
) -> None:
    assert residual(tables, [earlier(group)], later(hours, minutes), 60).new_group == new


def test_seconds_of_an_interval_are_dropped(tables: Tables) -> None:
    """Toward the shorter interval: 2:37:59.999 is 2:37, and K is still I (USN Rev 7, Table 9-8)."""
    left = residual(tables, [earlier("K")], later(2, 38) - timedelta(milliseconds=1), 60)
    assert (left.interval_min, left.new_group) == (2 * 60 + 37, "I")


@pytest.mark.parametrize(("group", "depth", "minutes"), [("H", 60, 46), ("Z", 190, 26), ("G", 42, 61)])
def test_residual_time_of_a_group(tables: Tables, group: str, depth: int, minutes: int) -> None:
    """USN Rev 7, Tables 9-8 and 2A-2; an interval of 0:10 leaves the group as it is."""
    assert residual(tables, [earlier(group)], later(minutes=10), depth).minutes == minutes


def test_the_row_changes_with_the_depth(tables: Tables) -> None:
    """USN Rev 7, Table 9-8: group G is 40 min at 60 fsw, 34 at 70; next deeper in between."""
    found = [residual(tables, [earlier()], later(2), depth).minutes for depth in (60, 60.5, 70)]
    assert found == [40, 34, 34]


@pytest.mark.parametrize(("group", "hours", "minutes"), [("Z", 15, 51), ("A", 2, 21)])
def test_beyond_the_last_interval_it_is_not_repetitive(
    tables: Tables, group: str, hours: int, minutes: int
) -> None:
    """USN Rev 7, Table 9-8."""
    left = residual(tables, [earlier(group)], later(hours, minutes), 60)
    assert (left.kind, left.minutes) == ("not repetitive", 0)
    last = f"{hours}:{minutes - 1:02}"
    assert left.words == (
        f"not repetitive: {hours}:{minutes} after the morning dive, group {group}, is beyond {last} "
        "(Table 9-8, upper part)"
    )


def test_without_an_earlier_dive_it_is_single(tables: Tables) -> None:
    left = residual(tables, [], later(), 60)
    assert (left.kind, left.minutes, left.enters(60)) == ("single", 0, 60)


def test_under_ten_minutes_two_dives_are_one(tables: Tables) -> None:
    """NOAA, US Navy Decompression Tables, Part Three: 80/20, 0:08, 70/20 is 80/40. All revisions."""
    left = residual(tables, [earlier("F", depth=80, bottom_min=20)], later(minutes=8), 70)
    assert (left.kind, left.minutes, left.enters(70)) == ("one dive", 20, 80)
    assert chosen(tables, left.enters(70), 20 + 20).name == "80/40"


def test_the_tenth_minute_decides(tables: Tables) -> None:
    """USN Rev 7, Table 9-8 begins at 0:10; 0:09:59 is 0:09."""
    kinds = [
        residual(tables, [earlier()], at, 60).kind for at in (later(minutes=9, seconds=59), later(0, 10))
    ]
    assert kinds == ["one dive", "repetitive"]


def test_a_second_dive_made_one_takes_its_own_residual_time_along(tables: Tables) -> None:
    left = residual(tables, [earlier("K", depth=60, bottom_min=20, added_min=40)], later(minutes=5), 50)
    assert (left.minutes, left.enters(50)) == (60, 60)


def test_no_figure_refuses_and_says_what_to_do(tables: Tables) -> None:
    """USN Rev 7, Table 9-8: ** at 20 fsw for L; from Z a K comes 4:22 after surfacing."""
    left = residual(tables, [earlier("Z")], later(3, 30), 20)
    assert (left.kind, left.minutes, left.row_depth) == ("no figure", None, 20)
    assert left.until == later(4, 22)
    assert left.words == (
        "group Z of the morning dive, 3:30 later group L (Table 9-8, upper part); no residual nitrogen time "
        "can be had for group L at 20 fsw (Table 9-8, lower part): wait until 2026-05-04 13:22:00, when "
        "there is one, or work it on paper by the 25 fsw row with the supervisor"
    )
    assert residual(tables, [earlier("Z")], left.until, 20).minutes == 462


def test_dagger_reads_down_to_30_fsw_and_its_schedules(tables: Tables) -> None:
    """USN Rev 7, Table 9-8, note: group O at 25 fsw is read at 30 fsw, 308 min."""
    left = residual(tables, [earlier("O")], later(minutes=10), 24)
    assert (left.minutes, left.row_depth, left.enters(24)) == (308, 30, 30)
    assert chosen(tables, left.enters(24), 308 + 70).name == "30/380"
    assert "read down to the 30 fsw row" in left.words


def test_deeper_than_the_residual_times_there_is_no_figure(tables: Tables) -> None:
    """USN Rev 7, Table 9-8 ends at 190 fsw."""
    left = residual(tables, [earlier("A")], later(1), 191)
    assert (left.kind, left.minutes, left.until) == ("no figure", None, None)
    assert "191 fsw or deeper" in left.words


def test_a_dive_without_a_group_blocks_for_18_hours_then_asks(tables: Tables) -> None:
    """From memory: USN Rev 6/7, 18 h; that the supervisor decides after it is a station choice."""
    dives = [earlier(None, depth=180, bottom_min=60)]
    early = residual(tables, dives, later(17, 59, 59), 60, no_group_decided=True)
    assert (early.kind, early.minutes, early.until, early.may_decide) == ("blocked", None, later(18), False)
    asked = residual(tables, dives, later(18), 60)
    assert (asked.kind, asked.may_decide) == ("blocked", True)
    assert residual(tables, dives, later(18), 60, no_group_decided=True).kind == "single"
    assert residual(tables, dives, later(48), 60).kind == "single"


def test_an_older_dive_without_a_group_blocks_as_well(tables: Tables) -> None:
    old = EarlierDive(later(-8), None, 180, 60, "the night dive")
    assert residual(tables, [earlier("B"), old], later(3), 60).kind == "blocked"


def test_a_dive_straight_after_one_without_a_group_is_one_with_it(tables: Tables) -> None:
    assert residual(tables, [earlier(None)], later(minutes=5), 60).kind == "one dive"


def test_a_group_the_tables_do_not_know_blocks(tables: Tables) -> None:
    left = residual(tables, [earlier("Q")], later(3), 60)
    assert (left.kind, left.minutes) == ("blocked", None)
    assert "group Q of the morning dive is not in these tables" in left.words


def test_tables_without_intervals_never_give_a_repetitive_dive(metres: Tables) -> None:
    assert residual(metres, [earlier("A", depth=12)], later(3), 12).kind == "blocked"
    kinds = [residual(metres, [earlier("A", depth=12)], later(minutes=one), 12).kind for one in (9, 10)]
    assert kinds == ["one dive", "blocked"]


def test_times_that_overlap_block_and_say_so(tables: Tables) -> None:
    left = residual(tables, [earlier()], later(-1), 60)
    assert (left.kind, left.minutes) == ("blocked", None)
    assert "correct the times" in left.words


def test_the_latest_of_several_dives_governs(tables: Tables) -> None:
    dives = [earlier("D"), EarlierDive(later(-10), "Z", 60, 170, "the night dive")]
    assert residual(tables, dives, later(1), 60).old_group == "D"


@pytest.mark.parametrize(("arrived_h_ago", "group"), [(1, "F"), (10, "C")])
def test_the_heavier_of_an_arrival_and_a_dive_governs(tables: Tables, arrived_h_ago: int, group: str) -> None:
    """USN Rev 7, Table 9-8: F after 1:00 is F, after 10:00 nothing; C after 2:00 is C."""
    at = later(2) - timedelta(hours=arrived_h_ago)
    came = Arrival(at, "F", 7000, "arrival at 7,000 ft")
    left = residual(tables, [earlier("C")], later(2), 60, arrival=came)
    assert (left.old_group, left.kind) == (group, "repetitive")


def test_a_diver_just_arrived_keeps_the_whole_group(tables: Tables) -> None:
    """An arrival is no dive: within ten minutes nothing is added up, and nothing is credited."""
    came = Arrival(later(), "G", 8000, "arrival at 8,000 ft")
    left = residual(tables, [], later(minutes=5), 60, arrival=came)
    assert (left.kind, left.new_group, left.minutes) == ("repetitive", "G", 40)


def test_both_answers_stand_side_by_side(tables: Tables) -> None:
    """Second-hand rule (notes on Rev 6) on USN Rev 7 figures: 60/20, 0:15, 60/30; both inside 63 min."""
    first = chosen(tables, 60, 20)
    both = side_by_side(tables, [earlier(first.group, depth=60, bottom_min=20)], later(0, 15), 60, 30)
    assert first.group == "D"
    assert both is not None
    assert (both.by_table.residual.minutes, both.by_table.equivalent_min) == (24, 54)
    assert (both.by_sum.equivalent_min, both.by_sum.depth, both.lighter) == (50, 60, "sum")
    assert both.words == (
        "by the table 54 min at 60 fsw: 60/63, no stop; by the sum of bottom times 50 min at 60 fsw: 60/63, "
        "no stop; for the supervisor to choose (second-hand: notes on Rev 6)"
    )


def test_the_sum_is_taken_only_when_asked_for(tables: Tables) -> None:
    dives = [earlier("D", depth=60, bottom_min=20)]
    assert residual(tables, dives, later(0, 15), 60).minutes == 24
    taken = residual(tables, dives, later(0, 15), 60, by_sum=True)
    assert (taken.kind, taken.minutes, taken.enters(50)) == ("sum of bottom times", 20, 60)


def test_a_choice_of_the_sum_ends_with_the_interval(tables: Tables) -> None:
    left = residual(tables, [earlier("A", depth=60, bottom_min=5)], later(3), 60, by_sum=True)
    assert (left.kind, left.minutes) == ("not repetitive", 0)


def test_the_table_may_be_the_lighter_answer(tables: Tables) -> None:
    both = side_by_side(tables, [earlier("I")], later(6), 60, 20)
    assert both is not None
    assert both.lighter == "table"


@pytest.mark.parametrize("at", [later(0, 5), later(30)])
def test_the_sum_has_no_place_without_a_repetitive_dive(tables: Tables, at: datetime) -> None:
    assert side_by_side(tables, [earlier()], at, 60, 20) is None


def test_rev4_worked_example(rev4: Tables) -> None:
    """USN Rev 4 page 9-16, on figures of that revision: 101/48, 6:26, 99/15 gives RNT 7 and 22 min."""
    first = chosen(rev4, corrected(rev4, 100), 48)
    assert (first.name, first.group) == ("110/50", "M")
    left = residual(rev4, [earlier(first.group, depth=101, bottom_min=48)], later(6, 26), corrected(rev4, 98))
    assert (left.minutes, 15 + (left.minutes or 0)) == (7, 22)


def test_rev4_dives_with_surface_decompression_add_up(rev4: Tables) -> None:
    """USN Rev 4 page 9-27, on figures of that revision: 165/25, 3:42, 133/15 gives 170/25, then 170/40.

    That revision has no residual times for these, so the sum is the rule there and not an exception.
    """
    assert chosen(rev4, 165, 25).name == "170/25"
    left = residual(
        rev4, [earlier("M", depth=165, bottom_min=25)], later(3, 42), corrected(rev4, 133), by_sum=True
    )
    assert left.minutes == 25
    assert chosen(rev4, left.enters(135), 25 + 15).name == "170/40"


def test_the_choices_can_be_set(tables: Tables) -> None:
    choices = SeriesChoices(no_group_blocked_h=24)
    assert residual(tables, [earlier(None)], later(20), 60, choices=choices).until == later(24)


def test_a_residual_never_lowers_a_depth() -> None:
    assert Residual("single", 0, "").enters(0.5) == 0.5
