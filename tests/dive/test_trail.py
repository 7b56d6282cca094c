"""The trail: every rule applied, with the figures before and after; and rates of travel."""

from dataclasses import replace
from datetime import datetime

import pytest

from station.dive.facts import DiveFacts, Mark, Reading
from station.dive.follow import follow
from station.dive.trail import line_words, trail
from station.tables.model import Tables
from tests.dive.conftest import Taken, at, taken_marks


def dive(depth: float, *marks: Taken, readings: tuple[tuple[str, float], ...] = ()) -> DiveFacts:
    taken = taken_marks(*marks)
    return DiveFacts(depth, 60, taken, tuple(Reading(at(when), depth) for when, depth in readings))


def told(tables: Tables, facts: DiveFacts, now: str) -> list[tuple[datetime, str, str]]:
    return [(line.at, line.rule, line.after.schedule) for line in trail(tables, facts, at(now))]


def test_on_deck_there_is_no_trail(tables: Tables) -> None:
    assert trail(tables, dive(60), at("0:00")) == ()


def test_rows_depths_and_decisions_on_the_bottom(tables: Tables) -> None:
    """158 read is 160; 160/7 to 160/15 by time, 170 fsw once 163 is read; cold from 17:00."""
    facts = replace(
        dive(140, ("left_surface", "0:00"), readings=(("3:00", 158), ("12:00", 163), ("13:00", 100))),
        lengthened=True,
        lengthened_at=at("17:00"),
    )
    assert told(tables, facts, "18:00") == [
        (at("0:00"), "surface left", "140/10"),
        (at("3:00"), "depth of dive", "160/7"),
        (at("7:00.001"), "next longer row", "160/10"),
        (at("10:00.001"), "next longer row", "160/15"),
        (at("12:00"), "depth of dive", "170/15"),
        (at("15:00.001"), "next longer row", "170/20"),
        (at("17:00"), "cold or arduous", "170/25"),
    ]


def test_a_declared_depth_has_its_moment(tables: Tables) -> None:
    facts = dive(100, ("left_surface", "0:00"), readings=(("2:00", 99),))
    facts = replace(facts, declared_depth=120.0, declared_at=at("9:00"))
    line = trail(tables, facts, at("10:00"))[-1]
    assert (line.at, line.rule, line.before.schedule, line.after.schedule) == (
        at("9:00"),
        "depth of dive",
        "100/25",
        "120/15",
    )
    assert line_words(line, "fsw") == (
        "depth declared: 120 fsw: 9 min at 120 fsw: schedule 100/25 -> 120/15 "
        "(USN Rev 4/5, 9-3: deepest corrected reading)"
    )


def test_a_delay_step_by_step(tables: Tables) -> None:
    """115/55, 6:17 to 30 fsw instead of 2:50: counts from 58:50.001 on, 4 min at the mark."""
    facts = dive(115, ("left_surface", "0:00"), ("left_bottom", "55:00"))
    running = trail(tables, facts, at("61:00"))
    marked = replace(facts, marks=(*facts.marks, Mark("reached_stop", at("61:17"), 30)))
    lines = trail(tables, marked, at("61:17"))
    assert lines[: len(running)] == running
    assert [(line.at, line.rule, line.before.entered_min, line.after.entered_min) for line in lines[-2:]] == [
        (at("58:50.001"), "delay before the first stop", 55, 57),
        (at("61:17"), "delay before the first stop", 57, 59),
    ]
    assert line_words(lines[-2], "fsw") == (
        "before the first stop: delayed, counts as 2 min so far; place not known, counted by the "
        "departure depth (station choice): time 55 -> 57 min; "
        "schedule 120/55 -> 120/60; stops 30 fsw 19 min, 20 fsw 116 min -> 30 fsw 27 min, 20 fsw 142 min "
        "(USN Rev 6, 9-11.3, second-hand)"
    )


@pytest.mark.parametrize(
    ("marks", "rule", "words"),
    [
        ((("reached_stop", "57:00", 30),), "early arrival", "early at 30 fsw"),
        (
            (("reached_stop", "58:00", 30), ("left_stop", "60:00", 30)),
            "stop left early",
            "30 fsw left 17:00 early",
        ),
        ((("reached_stop", "59:00", 20),), "stop passed", "30 fsw passed: omitted"),
        (
            (("reached_stop", "58:00", 30), ("left_stop", "80:00", 30)),
            "delay leaving a stop",
            "late leaving 30 fsw: ignored",
        ),
        (
            (("reached_stop", "58:00", 30), ("left_stop", "77:00", 30), ("reached_stop", "80:00", 20)),
            "delay between stops",
            "delay below 20 fsw: the schedule goes on",
        ),
        ((("reached_stop", "56:30", 30),), "ascent too fast", "60 fsw/min from 120 to 30, limit 40"),
    ],
)
def test_rules_that_leave_the_schedule_as_it_is(
    tables: Tables, marks: tuple[Taken, ...], rule: str, words: str
) -> None:
    """120/55: 30 fsw 19 min due at 58:00, 20 fsw 116 min."""
    facts = dive(120, ("left_surface", "0:00"), ("left_bottom", "55:00"), *marks)
    lines = [line for line in trail(tables, facts, at("90:00")) if line.rule == rule]
    assert len(lines) == 1
    assert lines[0].words.startswith(words)
    assert lines[0].before == lines[0].after
    assert lines[0].source in line_words(lines[0], "fsw")


def test_gas_and_its_loss(tables: Tables) -> None:
    facts = dive(
        120,
        ("left_surface", "0:00"),
        ("left_bottom", "55:00"),
        ("reached_stop", "58:00", 30),
        ("on_oxygen", "58:30"),
        ("left_stop", "71:00", 30),
        ("oxygen_lost", "72:00"),
    )
    facts = replace(facts, gas="air_oxygen", gas_at=at("40:00"))
    rules = [line.rule for line in trail(tables, facts, at("73:00"))]
    assert [one for one in rules if one in {"gas chosen", "late on oxygen", "oxygen lost"}] == [
        "gas chosen",
        "late on oxygen",
        "oxygen lost",
    ]


@pytest.mark.parametrize(
    ("reached", "rate"),
    [("57:15", None), ("57:14.999", 40.1), ("56:00", 90), ("55:00", 54000000)],
)
def test_more_than_40_on_the_way_up(tables: Tables, reached: str, rate: float | None) -> None:
    """From memory: 20 to 40 fsw/min is accepted; 90 fsw in 2:15 is exactly 40. Rounded up to a tenth."""
    facts = dive(120, ("left_surface", "0:00"), ("left_bottom", "55:00"), ("reached_stop", reached, 30))
    found = follow(tables, facts, at("58:00")).too_fast
    assert (found.rate if found else None) == (rate if rate != 54000000 else 90 * 60_000.0)


def test_a_reading_on_the_way_tells_too(tables: Tables) -> None:
    facts = dive(
        120, ("left_surface", "0:00"), ("left_bottom", "55:00"), readings=(("54:00", 118), ("56:00", 70))
    )
    found = follow(tables, facts, at("56:10")).too_fast
    assert found is not None
    assert (found.way, found.from_depth, found.to_depth, found.rate) == ("ascent", 120, 71, 49)
    gone = replace(facts, marks=(*facts.marks, Mark("reached_stop", at("58:00"), 30)))
    on = replace(gone, marks=(*gone.marks, Mark("left_stop", at("77:00"), 30)))
    assert follow(tables, on, at("77:10")).too_fast is None  # a new travel


@pytest.mark.parametrize(
    ("bottom", "readings", "rate"),
    [
        ("2:00", (), None),  # 150 fsw in 2:00 is exactly 75 (from memory: no more than that)
        ("1:59", (), 75.7),
        ("1:00", (("1:30", 70),), None),  # the first depth read there: 71
        ("1:00", (("1:30", 80),), 81),
        ("3:00", (("0:30", 50),), 102),
    ],
)
def test_more_than_75_on_the_way_down(
    tables: Tables, bottom: str, readings: tuple[tuple[str, float], ...], rate: float | None
) -> None:
    facts = dive(150, ("left_surface", "0:00"), ("reached_bottom", bottom), readings=readings)
    found = follow(tables, facts, at("4:00")).too_fast
    assert (found.rate if found else None) == rate
