"""`station plan`: figures of U.S. Navy Diving Manual, Revision 7, Tables 9-7 and 9-9, as text and as JSON."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

import pytest

if TYPE_CHECKING:
    from tests.commands.conftest import Ran
    from tests.conftest import PlayedDrills

Run = Callable[..., "Ran"]


class Published(NamedTuple):
    """Words of the command, and the published row that they lead to; its total in seconds."""

    words: str
    schedule: str
    minutes: int | None
    stops: list[tuple[int, int]]
    total: int
    group: str


ROWS = [
    Published("60 20", "60/63", None, [], 120, "D"),
    Published("60 63", "60/63", None, [], 120, "K"),
    Published("60 64", "60/65", 65, [(20, 2)], 240, "L"),
    Published("79 33", "80/39", None, [], 160, "I"),
    Published("107 34", "110/35", 35, [(20, 27)], 1840, "M"),
    Published("110 40", "110/40", 40, [(20, 39)], 2560, "N"),
    Published("117 52", "120/55", 55, [(30, 19), (20, 116)], 8320, "Z"),
    Published("115 52 --reading", "120/55", 55, [(30, 19), (20, 116)], 8320, "Z"),
    Published("118 44", "120/45", 45, [(30, 3), (20, 71)], 4660, "Z"),
    Published("60 20 --colder", "60/65", 65, [(20, 2)], 240, "L"),
    Published("24msw 20", "80/39", None, [], 160, "E"),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.words)
def test_json(run: Run, row: Published) -> None:
    ran = run("plan", *row.words.split(), "--json")
    assert (ran.code, ran.err, ran.out.count("\n")) == (0, "", 1)
    found: dict[str, Any] = json.loads(ran.out)
    assert (found["schedule"], found["table_time_min"], found["group"]) == (
        row.schedule,
        row.minutes,
        row.group,
    )
    assert found["table_depth_fsw"] == int(row.schedule.split("/", maxsplit=1)[0])
    assert [(stop["depth_fsw"], stop["minutes"]) for stop in found["stops"]] == row.stops
    assert row.total in (found["total_ascent_s"], found.get("published_total_ascent_s"))
    assert {"time_to_first_stop_s", "exposure"} <= set(found)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.words)
def test_text(run: Run, row: Published) -> None:
    lines = run("plan", *row.words.split()).out.split("\n")
    assert f"Schedule      {row.schedule}{'' if row.minutes else ', no stop'}" in lines
    assert f"Group         {row.group}" in lines
    shown = [line.split() for line in lines if line.startswith("Stop ")]
    assert [(int(words[1]), int(words[3])) for words in shown] == row.stops
    assert any(
        f"{row.total // 60}:{row.total % 60:02d}" in line for line in lines if line.startswith("Total ascent")
    )


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
    for gas, said in (("surface", "no oxygen periods in the chamber"), ("oxygen", "no stops on oxygen")):
        ran = run("plan", "15", "70", "--tables", str(made_up), "--gas", gas)
        assert (ran.code, said in ran.err) == (3, True)


@pytest.mark.parametrize(
    ("words", "figures"),
    [
        # Table 9-8: group H 1:30 later is G; residual at 60 fsw 40 min; 80 min is 60/80: 20 fsw 14 min.
        ("60 40 --group H --interval 1:30", (40, 80, "60/80", [(20, 14)], 960)),
        # Rev 4, 9-38: 95 fsw at 5,200 ft, taken as 6,000, is 118.5; 120/30: 20 fsw 24 min; 20 x 0.8014 is 16.
        ("95 30 --altitude 5200", (0, 30, "120/30", [(16, 24)], 1680)),
        # Table 9-9, 120/55 on air and oxygen: 30 fsw 10, 20 fsw 35 min, one air break of 5 min.
        ("120 55 --gas oxygen", (0, 55, "120/55", [(30, 10), (20, 35)], 3220)),
        # The same row has two periods in the chamber and no stop at 40 fsw.
        ("120 55 --gas surface", (0, 55, "120/55", [], None)),
    ],
)
def test_earlier_dives_altitude_and_gas(run: Run, words: str, figures: tuple[Any, ...]) -> None:
    found = json.loads(run("plan", *words.split(), "--json").out)
    stops = [(stop["depth_fsw"], stop["minutes"]) for stop in found["stops"]]
    told = (found["residual_nitrogen_time_min"], found["time_entered_min"], found["schedule"], stops)
    assert (*told, found["total_ascent_s"]) == figures


def test_at_altitude_a_stop_is_told_in_the_table_at_the_site_and_on_the_gauge(run: Run) -> None:
    """USN Rev 4, 9-38 and 9-44: 20 x 0.8014 is 16; a gauge of one fixed atmosphere reads 7 less."""
    lines = run("plan", "95", "30", "--altitude", "5200").out.split("\n")
    assert "Stop depth    the table's 20 fsw is 16 fsw here, 9 fsw on the gauge" in lines
    (after,) = (line for line in lines if line.startswith("Next row"))
    assert ": 16 fsw 38 min here (table: 20 fsw), total" in after
    assert "Stop depth" not in run("plan", "120", "30").out


def test_json_tells_every_clock_time_that_the_text_tells(run: Run) -> None:
    """107 fsw for 34 min, 110/35: 2:54 to 20 fsw, 27 min there, 40 s to the surface."""
    words = ("plan", "107", "34", "--leave", "23:50", "--ladder")
    lines, found = run(*words).out.split("\n"), json.loads(run(*words, "--json").out)
    (stop,) = found["stops"]
    assert (stop["arrive_clock"], stop["leave_clock"]) == ("23:52:54", "00:19:54")
    assert (found["leave_bottom_clock"], found["surface_clock"]) == ("23:50:00", "00:20:34")
    assert any(stop["arrive_clock"] in line and stop["leave_clock"] in line for line in lines)
    assert f"Surface       {found['surface_clock']}" in lines
    for rung in found["ladder"]:
        left = rung["leave_by_clock"]
        assert any(line.startswith(left) and (rung["surface_clock"] in line) for line in lines), rung


def test_json_has_the_clock_times_empty_where_nobody_leaves(run: Run) -> None:
    found = json.loads(run("plan", "107", "34", "--json").out)
    (stop,) = found["stops"]
    clocks = [
        value for each in (found, stop, *found["ladder"]) for key, value in each.items() if "clock" in key
    ]
    assert len(clocks) == 4 + 2 * len(found["ladder"])
    assert not any(clocks)


@pytest.mark.parametrize(
    ("words", "depths"),
    [
        ("95 30 --altitude 5200", (16, 20, 9)),  # USN Rev 4, 9-38 and 9-44, as in words
        ("107 34", (20, 20, 19)),  # the band to 100 fsw adds 1: USN Rev 4, 9-16
    ],
)
def test_json_tells_a_stop_at_the_site_in_the_table_and_on_the_gauge(
    run: Run, words: str, depths: tuple[int, ...]
) -> None:
    (stop,) = json.loads(run("plan", *words.split(), "--json").out)["stops"]
    assert (stop["depth_fsw"], stop["printed_fsw"], stop["gauge_fsw"]) == depths


def test_the_ladder_counts_from_leaving_the_surface(run: Run) -> None:
    """Residual 40 min: the row of 80 min is left by after 40 min, the one of 90 min after 50."""
    lines = run("plan", "60", "40", "--group", "H", "--interval", "1:30", "--ladder").out.split("\n")
    assert "0:40      60/80   < 16:00     20 fsw 14 min" in lines
    assert "0:50      60/90     25:00     20 fsw 23 min" in lines
    assert any(line.startswith("1:30      60/130   !") for line in lines)
    with_clock = run("plan", "60", "63", "--leave", "10:03", "--ladder").out.split("\n")
    assert "10:03:00  60/63   < 2:00      10:05:00  no stops" in with_clock


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        ("60 20 --group H", 2, "--group and --interval belong together"),
        ("60 20 --group Q --interval 1:00", 2, "--group takes one of A, B, C"),
        ("60 20 --group H --interval 90", 2, "--interval takes hours and minutes such as 1:30, not '90'"),
        ("60 20 --group H --interval 0:09", 2, "an interval under 0:10 is none: the two dives are one"),
        ("60 20 --altitude high", 2, "--altitude takes whole feet such as 5200, not 'high'"),
        ("60 20 --altitude 10001", 5, "above 10,000 ft no dive is reckoned here"),
        ("60 20 --sum", 2, "--sum needs the earlier dive's bottom time"),
        ("60 20 --after a.toml --group A", 2, "drop --group and --interval"),
        ("60 20 --after /no/such.toml", 3, "/no/such.toml: no such file"),
        ("10 40 --group Z --interval 0:15", 3, "no residual nitrogen time can be had for group Z at 10 fsw"),
    ],
)
def test_what_lies_before_a_dive_is_checked(run: Run, words: str, code: int, said: str) -> None:
    ran = run("plan", *words.split())
    assert (ran.code, ran.out) == (code, "")
    assert said in ran.err


def test_after_a_record(run: Run, played_drills: "PlayedDrills") -> None:
    """The shipped drill's record: group M at 08:34:20 in 2031, long before or after any today."""
    (record,) = played_drills("ossary-dam/gate-survey").records
    ran = run("plan", "60", "20", "--after", str(record), "--json")
    assert ran.code in (0, 3)
    assert "after this dive began" in ran.err or json.loads(ran.out)["residual_kind"] == "not repetitive"
    not_one = run("plan", "60", "20", "--after", str(Path(__file__)))
    assert "is not the record of a finished dive" in not_one.err
