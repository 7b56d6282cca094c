"""`station plan`: figures of U.S. Navy Diving Manual, Revision 7, Tables 9-7 and 9-9, as text and as JSON."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from tests.commands.conftest import Ran

Run = Callable[..., "Ran"]
ROWS = [  # words, schedule, time of the row, stops, published total in s, group
    ("60 20", "60/63", None, [], 120, "D"),
    ("60 63", "60/63", None, [], 120, "K"),
    ("60 64", "60/65", 65, [(20, 2)], 240, "L"),
    ("79 33", "80/39", None, [], 160, "I"),
    ("107 34", "110/35", 35, [(20, 27)], 1840, "M"),
    ("110 40", "110/40", 40, [(20, 39)], 2560, "N"),
    ("117 52", "120/55", 55, [(30, 19), (20, 116)], 8320, "Z"),
    ("115 52 --reading", "120/55", 55, [(30, 19), (20, 116)], 8320, "Z"),
    ("118 44", "120/45", 45, [(30, 3), (20, 71)], 4660, "Z"),
    ("60 20 --colder", "60/65", 65, [(20, 2)], 240, "L"),
    ("24msw 20", "80/39", None, [], 160, "E"),
]


@pytest.mark.parametrize(("words", "schedule", "minutes", "stops", "total", "group"), ROWS)
def test_json(  # noqa: PLR0917 - one published row
    run: Run,
    words: str,
    schedule: str,
    minutes: int | None,
    stops: list[tuple[int, int]],
    total: int,
    group: str,
) -> None:
    ran = run("plan", *words.split(), "--json")
    assert (ran.code, ran.err, ran.out.count("\n")) == (0, "", 1)
    found: dict[str, Any] = json.loads(ran.out)
    assert (found["schedule"], found["table_time_min"], found["group"]) == (schedule, minutes, group)
    assert found["table_depth_fsw"] == int(schedule.split("/", maxsplit=1)[0])
    assert [(stop["depth_fsw"], stop["minutes"]) for stop in found["stops"]] == stops
    assert total in (found["total_ascent_s"], found.get("published_total_ascent_s"))
    assert {"time_to_first_stop_s", "exposure"} <= set(found)


@pytest.mark.parametrize(("words", "schedule", "minutes", "stops", "total", "group"), ROWS)
def test_text(  # noqa: PLR0917 - one published row
    run: Run,
    words: str,
    schedule: str,
    minutes: int | None,
    stops: list[tuple[int, int]],
    total: int,
    group: str,
) -> None:
    lines = run("plan", *words.split()).out.split("\n")
    assert f"Schedule      {schedule}{'' if minutes else ', no stop'}" in lines
    assert f"Group         {group}" in lines
    shown = [line.split() for line in lines if line.startswith("Stop ")]
    assert [(int(words[1]), int(words[3])) for words in shown] == stops
    assert any(f"{total // 60}:{total % 60:02d}" in line for line in lines if line.startswith("Total ascent"))


def test_clock_times_count_from_leaving_the_bottom(run: Run) -> None:
    """117 to 30 fsw are 87 ft at 30 ft/min: 2:54; 19 and 116 min of stops; 0:40 from 20 fsw."""
    out = run("plan", "115", "52", "--reading", "--leave", "23:50").out
    for text in ("leave bottom 23:50:00", "arrive 23:52:54  leave 00:11:54", "leave 02:07:54", "02:08:34"):
        assert text in out


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("0 20", 2, "the depth must be more than 0 fsw (found 0)"),
        ("abc 20", 2, "'abc' is not a depth the station can read"),
        ("nan 20", 2, "'nan' is not a depth the station can read"),
        ("inf 20", 2, "'inf' is not a depth the station can read"),
        ("1e5 20", 2, "'e5' is not a unit of depth here (known: fsw, msw)"),
        ("60ft 20", 2, "'ft' is not a unit of depth here (known: fsw, msw)"),
        ("60 0", 2, "the bottom time must be whole minutes, 1 to 1440 (found 0)"),
        ("60 99999", 2, "the bottom time must be whole minutes, 1 to 1440 (found 99999)"),
        (f"60 {'9' * 5000}", 2, "TIME, the bottom time, is whole minutes such as 33, not '9999"),
        ("60 20.5", 2, "TIME, the bottom time, is whole minutes such as 33, not '20.5'"),
        ("60 ²", 2, "TIME, the bottom time, is whole minutes such as 33, not '²'"),
        ("60 20 --leave 25:00", 2, "--leave takes a clock time such as 14:05 or 14:05:30, not '25:00'"),
        ("60 20 --leave 12:60", 2, "--leave takes a clock time such as 14:05 or 14:05:30, not '12:60'"),
        ("301 5", 3, "301 fsw is deeper than the deepest listed depth, 300 fsw"),
        ("401 5 --reading", 3, "no correction is printed for a reading of 401 fsw"),
        ("60 1440", 3, "no schedule at 60 fsw for 1440 min"),
        ("60 20 --tables /no/such.toml", 3, "/no/such.toml: no such file"),
    ],
)
def test_what_cannot_be_planned_is_told(run: Run, words: str, code: int, said: str) -> None:
    ran = run("plan", *words.split())
    assert (ran.code, ran.out) == (code, "")
    assert ran.err.startswith(("station: command: ", "station: table: ", "station: file: "))
    assert said in ran.err


def test_tables_not_for_diving_say_so(run: Run) -> None:
    """A made-up table in metres: its depths are read and shown in msw."""
    made_up = Path(__file__).parents[1] / "tables" / "made-up-msw.toml"
    out = run("plan", "9", "20", "--tables", str(made_up)).out
    assert "NOT FOR DIVING" in out
    assert "msw" in out
