"""Each choice of a station: what its other value changes, and that it changes nothing else.

What the rules leave open is a station choice, so these figures have no published source; they are worked out
by hand from the rows of U.S. Navy Revision 7, Table 9-9.
"""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from station.dive.choices import Choices
from station.dive.facts import Company, DiveFacts, Mark, Reading
from station.dive.follow import Live, follow
from station.dive.schedule import Schedule, Stop
from station.dive.series import EarlierDive
from station.dive.text import stops_text
from station.dive.trail import line_words, trail
from station.errors import FileError
from station.setup import default_station, load_setup
from station.tables.model import Tables
from tests.dive.conftest import START, Taken, at, taken_marks


def dive(depth: float, left: str, *marks: Taken) -> DiveFacts:
    """Return a dive read at its planned depth a minute before the bottom was left."""
    taken = taken_marks(("left_surface", "0:00"), ("left_bottom", left), *marks)
    read = Reading(at(left) - timedelta(minutes=1), depth - (1 if depth <= 100 else 2))
    return DiveFacts(depth, 60, taken, readings=(read,))


def plan(live: Live) -> tuple[str, str]:
    assert isinstance(live.schedule, Schedule)
    return live.schedule.name, stops_text([Stop(line.depth, line.minutes) for line in live.stops])


def leaves(number: int) -> Callable[[Live], object]:
    return lambda live: (live.stops[number].due_leave - START).total_seconds() / 60


@dataclass(frozen=True)
class Case:
    """A dive in which one choice bites: what is seen by default and by the other value; the usual words."""

    key: str
    other: object
    facts: DiveFacts
    now: str
    seen: Callable[[Live], object]
    usual: object
    changed: object
    words: str


HELD_TWICE: tuple[Taken, ...] = (("held", "56:50", 60), ("moving", "57:10", 60), ("held", "57:50", 40))
OVERRUN = dive(160, "45:00", ("reached_stop", "48:20", 60))
STAYED = dive(170, "25:00", ("reached_stop", "29:00", 50), ("left_stop", "34:00", 50))
BETWEEN = dive(
    160, "20:00", ("reached_stop", "24:00", 40), ("left_stop", "25:00", 40), ("reached_stop", "26:50", 30)
)
BREAK: tuple[Taken, ...] = (
    ("reached_stop", "58:00", 30),
    ("on_oxygen", "59:00"),
    ("left_stop", "69:00", 30),
    ("reached_stop", "69:20", 20),
    ("off_oxygen", "88:30"),
)
DEEPER = replace(dive(120, "40:00"), lane=2, diver="Bo")
TOGETHER = replace(dive(60, "40:00"), company=(Company(at("1:00"), None, (DEEPER,)),))
CASES = (
    # 45/150: 20 fsw due after 0:50; a minute over that counts as 2 from 151:50.001 on.
    Case(
        "delay_place_unknown",
        "deeper column",
        dive(45, "150:00"),
        "151:50.001",
        lambda live: live.delay_min,
        0,
        2,
        "place not known, counted by the departure depth (station choice)",
    ),
    # 115/55: 30 fsw due at 57:50; 20 s late at 60 fsw, the rest at 40: first stop 19 + 2.
    Case(
        "delay_in_several_places",
        "where it came to count",
        dive(115, "55:00", *HELD_TWICE),
        "58:50.001",
        plan,
        ("120/60", "30:27 20:142"),
        ("120/55", "30:21 20:116"),
        "in several places, the deeper one counts (station choice)",
    ),
    # 60/62, 2:00 to the surface, no stop to 63 min; held at 40 fsw.
    Case(
        "no_stop_delay",
        "by its place",
        dive(60, "62:00", ("held", "62:40", 40)),
        "65:00.001",
        plan,
        ("60/65", "20:2"),
        ("60/63", "no stops"),
        "no stop was planned, added to the bottom time (station choice)",
    ),
    # 160/45: 60 fsw 2 min to 50:20; 160/50 has 2 min there as well: spent, or served after 2 + 2.
    Case(
        "overrun_time_spent",
        "does not count",
        OVERRUN,
        "51:30",
        leaves(0),
        pytest.approx(50 + 1 / 3),
        pytest.approx(54 + 1 / 3),
        "the time spent here counts (station choice)",
    ),
    # 170/25: 50 fsw 1 min to 30:00; 170/30 asks for 5 to 34:00: late 2 min, or 4.
    Case(
        "stay_for_new_schedule",
        "delay",
        STAYED,
        "34:00",
        lambda live: live.delay_min,
        2,
        4,
        "staying on for it is no delay (station choice)",
    ),
    # 160/20: 30 fsw 4 min reached at 26:50; less 0:20 and 1:00 it runs from 25:30.
    Case(
        "stop_after_delay",
        "less the minute let pass",
        BETWEEN,
        "26:50",
        leaves(1),
        pytest.approx(30 + 50 / 60),
        pytest.approx(29.5),
        "that stop runs from arrival (station choice)",
    ),
    # 120/90 has 26 min at 40 fsw, 120/100 25; 50 fsw 7 min to 99:20.
    Case(
        "look_up_again",
        "stops to come as printed",
        dive(120, "90:00", ("reached_stop", "92:20", 50)),
        "100:30",
        plan,
        ("120/100", "50:15 40:26 30:28 20:372"),
        ("120/100", "50:15 40:25 30:28 20:372"),
        "no stop gets shorter (station choice)",
    ),
    # 120/55 on oxygen: the break is due at 89:00, taken 0:30 early.
    Case(
        "break_early_s",
        29,
        replace(dive(120, "55:00", *BREAK), gas="air_oxygen"),
        "88:40",
        lambda live: live.oxygen and live.oxygen.state,
        "air break",
        "off oxygen",
        "taken off oxygen 0:30 before the air break was due: it is that break (station choice",
    ),
    # 30 fsw 19 min to 77:00, left 4 s early.
    Case(
        "stop_left_early_grace_s",
        3,
        dive(120, "55:00", ("reached_stop", "58:00", 30), ("left_stop", "76:56", 30)),
        "77:00",
        lambda live: [line.missing_s for line in live.early],
        [],
        [4],
        "",
    ),
    # read at 100 fsw 4 min before leaving a dive that was 120 deep
    Case(
        "departure_reading_max_age_s",
        239,
        replace(dive(120, "55:00"), readings=(Reading(at("20:00"), 118), Reading(at("51:00"), 99))),
        "55:30",
        lambda live: live.departure_depth,
        100,
        120,
        "",
    ),
    Case(
        "planned_depth_holds",
        "whole dive",
        replace(dive(120, "55:00"), readings=(Reading(at("54:00"), 98),)),
        "55:30",
        lambda live: live.table_depth,
        99,
        120,
        "depth planned: 120 fsw, until it is read (station choice)",
    ),
    Case(
        "together_follow_deeper",
        False,  # noqa: FBT003 - the value of the setting
        TOGETHER,
        "40:00",
        lambda live: live.table_depth,
        120,
        60,
        "station choice: the deeper depth and the longer time hold for all",
    ),
)
by_key = pytest.mark.parametrize("case", CASES, ids=lambda case: case.key)


def chosen(case: Case) -> Choices:
    return Choices.model_validate({case.key: case.other})


@by_key
def test_the_default_and_the_other_value(tables: Tables, case: Case) -> None:
    assert case.seen(follow(tables, case.facts, at(case.now))) == case.usual
    assert case.seen(follow(tables, case.facts, at(case.now), chosen(case))) == case.changed


@by_key
def test_the_choice_is_said_where_it_bites(tables: Tables, case: Case) -> None:
    lines = [line_words(line, "fsw") for line in trail(tables, case.facts, at(case.now))]
    other = [line_words(line, "fsw") for line in trail(tables, case.facts, at(case.now), chosen(case))]
    assert any(case.words in line for line in lines)
    assert not case.words or not any(case.words in line for line in other)
    if case.key in {"together_follow_deeper", "break_early_s"}:  # nothing is left to say
        return
    assert any("station choice" in line for line in other)


@by_key
def test_no_other_choice_changes_it(tables: Tables, case: Case) -> None:
    """Each setting bites on its own dive only; the two on an overrun share theirs."""
    usual = follow(tables, case.facts, at(case.now))
    overrun = {"overrun_time_spent", "stay_for_new_schedule", "look_up_again"}
    for one in CASES:
        if one.key == case.key or {one.key, case.key} <= overrun:
            continue
        assert follow(tables, case.facts, at(case.now), chosen(one)) == usual, one.key


@by_key
def test_a_dive_on_time_is_the_same_by_every_choice(tables: Tables, case: Case) -> None:
    facts = dive(160, "45:00", ("reached_stop", "48:20", 60), ("left_stop", "50:20", 60))
    assert follow(tables, facts, at("51:00"), chosen(case)) == follow(tables, facts, at("51:00"))


def test_an_overrun_served_in_full_comes_to_an_end(tables: Tables) -> None:
    """160/50 after 4 min: the diver leaves at 54:20 and owes nothing; a minute more is let pass."""
    choices = Choices(overrun_time_spent="does not count")
    for left in ("54:20", "55:20"):
        facts = replace(OVERRUN, marks=(*OVERRUN.marks, Mark("left_stop", at(left), 60)))
        live = follow(tables, facts, at(left), choices)
        assert (live.delay_min, live.early) == (2, ())
    facts = replace(OVERRUN, marks=(*OVERRUN.marks, Mark("left_stop", at("53:20"), 60)))
    assert [line.missing_s for line in follow(tables, facts, at("53:20"), choices).early] == [60]


def test_less_the_minute_let_pass_there_is_no_jump(tables: Tables) -> None:
    """A millisecond over a minute late: by default the stop begins 1:20 later at once."""
    marks = (*BETWEEN.marks[:-1], Mark("reached_stop", at("26:20.001"), 30))
    late = replace(BETWEEN, marks=marks)
    choices = Choices(stop_after_delay="less the minute let pass")
    assert follow(tables, late, at("26:30")).stops[1].due_leave == at("30:20.001")
    assert follow(tables, late, at("26:30"), choices).stops[1].due_leave == at("29:00.001")


def test_no_fresh_reading_is_said(tables: Tables) -> None:
    """The last reading is older than 5:00 when the bottom is left."""
    facts = replace(dive(120, "55:00"), readings=(Reading(at("20:00"), 118), Reading(at("49:59"), 99)))
    words = [line_words(line, "fsw") for line in trail(tables, facts, at("55:00"))]
    assert words[-1] == (
        "no depth read in the last 5:00: the ascent is reckoned from 120 fsw "
        "(station choice: without a fresh reading, the depth of the dive)"
    )


def test_hours_without_a_group(tables: Tables) -> None:
    earlier = EarlierDive(START - timedelta(hours=20), None, 60, 30, "the dive before")
    facts = replace(dive(60, "20:00"), earlier=(earlier,))
    assert follow(tables, facts, at("10:00")).residual.may_decide
    found = follow(tables, facts, at("10:00"), Choices(no_group_blocked_h=24)).residual
    assert not found.may_decide
    assert "24 h (station choice)" in found.words
    free = follow(tables, facts, at("10:00"), Choices(no_group_asks_h=20)).residual
    assert free.kind == "single"


def test_the_shipped_file_shows_every_choice_at_its_default() -> None:
    shown = tomllib.loads(default_station().read_text())["choices"]
    assert shown == Choices().model_dump()
    assert load_setup().station.choices == Choices()


BAD: tuple[tuple[str, str, str], ...] = (
    *((case.key, '"perhaps"', "") for case in CASES),
    ("gauge", '"perhaps"', ""),
    ("break_early_s", "121", "less than or equal to 120"),
    ("look_up_again", '"never"', "'no stop gets shorter' or 'stops to come as printed'"),
    ("stop_after_delay", '"later"', "'from arrival' or 'less the minute let pass'"),
)


def problems_of(path: Path, choices: str) -> list[tuple[str, str]]:
    text = default_station().read_text()
    path.write_text(f"{text[: text.index('[choices]')]}[choices]\n{choices}")
    with pytest.raises(FileError) as caught:
        load_setup(path)
    return list(caught.value.problems)


@pytest.mark.parametrize(("key", "value", "reason"), BAD)
def test_a_bad_value_is_named_with_its_key(tmp_path: Path, key: str, value: str, reason: str) -> None:
    problems: list[Any] = problems_of(tmp_path / "quay.toml", f"{key} = {value}\n")
    assert [place for place, _ in problems] == [f"choices.{key}"]
    assert reason in problems[0][1]


def test_two_choices_that_never_let_a_stop_end_are_refused(tmp_path: Path) -> None:
    both = 'overrun_time_spent = "does not count"\nstay_for_new_schedule = "delay"\n'
    [(key, reason)] = problems_of(tmp_path / "quay.toml", both)
    assert key == "choices"
    assert 'stay_for_new_schedule must be "no delay"' in reason
