"""A table file with anything wrong in it is refused, with its key and the reason."""

import re
from pathlib import Path

import pytest

from station.errors import FileError
from station.shipped import shipped
from station.tables.load import load_tables

SHIPPED = (shipped("configs") / "tables" / "usn-rev7-air.toml").read_text(encoding="utf-8")
MADE_UP = Path(__file__).parent.joinpath("made-up-msw.toml").read_text(encoding="utf-8")

ROW_60_65 = (
    'depth = 60, time = 65, to_first_stop = "1:20", air_stops = [[20, 2]], air_total = "4:00", '
    'oxygen_stops = [[20, 1]], oxygen_total = "3:00", chamber_periods = 0.5, group = "L", exposure = "normal"'
)
BEFORE_60_65 = SHIPPED[: SHIPPED.index(ROW_60_65)].split("[schedules]")[1].count("{ depth")
ROW_60_65_KEY = f"schedules.rows[{BEFORE_60_65 + 1}]"


def problems(text: str) -> dict[str, str]:
    with pytest.raises(FileError) as caught:
        load_tables(text.encode(), "some.toml")
    assert str(caught.value).startswith("some.toml: ")
    return dict(caught.value.problems)


def changed(old: str, new: str, text: str = SHIPPED) -> str:
    assert text.count(old) >= 1
    return text.replace(old, new, 1)


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        (
            "air_stops = [[20, 2]]",
            "air_stops = [[20, 3]]",
            ".air_total",
            "prints 4:00 but its parts make 5:00",
        ),
        ('air_total = "4:00"', 'air_total = "4:10"', ".air_total", "its parts make 4:00"),
        ('oxygen_total = "3:00"', 'oxygen_total = "3:20"', ".oxygen_total", "its parts make 3:00"),
        ("oxygen_stops = [[20, 1]]", "oxygen_stops = [[20, 2]]", ".oxygen_total", "its parts make 4:00"),
        ('to_first_stop = "1:20"', 'to_first_stop = "1:00"', ".to_first_stop", "its parts make 1:20"),
        ("air_stops = [[20, 2]]", "air_stops = [[40, 1], [20, 1]]", ".air_stops", "do not go up by 10 to 20"),
        ("air_stops = [[20, 2]]", "air_stops = [[30, 2]]", ".air_stops", "do not go up by 10 to 20"),
        ("air_stops = [[20, 2]]", "air_stops = [[20, -2]]", ".air_stops[1][2]", "greater than or equal to 1"),
        ("air_stops = [[20, 2]]", 'air_stops = "20:2"', ".air_stops", "valid array"),
        ('air_total = "4:00"', "air_total = 240", ".air_total", 'such as "1:20"'),
        ('air_total = "4:00"', 'air_total = "4:60"', ".air_total", 'such as "1:20"'),
        ("chamber_periods = 0.5", "chamber_periods = 0.3", ".chamber_periods", "multiple of 0.5"),
        ("chamber_periods = 0.5", "chamber_periods = 5", ".chamber_periods", "less than that of 60/65"),
        ('group = "L"', 'group = "P"', ".group", "not declared in groups"),
        ('group = "L"', 'group = "A"', ".group", "less than that of 60/63"),
        ('group = "L"', 'goup = "L"', ".goup", "did you mean 'group'?"),
        ('exposure = "normal"', 'exposure = "fine"', ".exposure", "not among the exposures"),
        ("time = 65", "time = 63", ".time", "must come after 60/63"),
        ("time = 65", "time = 1e9", ".time", "valid integer"),
        ("depth = 60", "depth = -60", ".depth", "greater than or equal to 1"),
        ('oxygen_total = "3:00", ', "", "", "belong together"),
    ],
)
def test_one_wrong_figure_in_a_schedule_is_named(old: str, new: str, key: str, reason: str) -> None:
    row = changed(old, new, ROW_60_65)
    found = problems(changed(ROW_60_65, row))
    wanted = ROW_60_65_KEY + key
    near = [why for at, why in found.items() if at == wanted or (new == "chamber_periods = 5" and key in at)]
    assert near, found
    assert any(reason in why for why in near), found


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        (
            'after = "O", at_least = "0:53"',
            'after = "O", at_least = "0:54"',
            r"surface_interval\.rows\[2\]",
            "0:53",
        ),
        (
            'at_least = "0:10", at_most = "0:52"',
            'at_least = "0:10", at_most = "0:09"',
            r"at_most",
            "is before 0:10",
        ),
        ('{ group = "Z", after = "M"', '{ group = "Z", after = "L"', r"surface_interval\.rows", "expected"),
        ("limit = 63,", "limit = 64,", r"no_stop\[1\]\.rows\[11\]\.longest", "the limit is 64"),
        ("J = 57, K = 63", "J = 64, K = 63", r"longest", "do not grow"),
        ("limit = 63,", 'limit = "none",', r"no_stop\[1\]\.rows\[11\]\.limit", '"unlimited"'),
        ("A = 57, B = 101", "A = 0, B = 101", r"longest\.A", "greater than 0"),
        (
            "{ depth = 31, limit",
            "{ depth = 30, limit",
            r"no_stop\[2\]\.rows\[2\]\.depth",
            "must come after 30",
        ),
        ("D = 51, C = 39, B = 28", "D = 79, C = 39, B = 28", r"residual", "differs|more than|fall"),
        (
            "reading_up_to = 200, add = 2",
            "reading_up_to = 100, add = 2",
            r"pneumofathometer",
            "more than 100",
        ),
        (
            "reading_up_to = 300, add = 4",
            "reading_up_to = 300, add = 1",
            r"pneumofathometer",
            "less than the 2",
        ),
        (
            'altitude_ft = 3000, group = "B"',
            'altitude_ft = 3000, group = "D"',
            r"altitude_arrival",
            "lighter",
        ),
        ('"1:37", "4:39"', '"1:37", "1:36"', r"altitude_wait", "smaller rise"),
        ("rate = 30\n", "rate = 20\n", r"to_first_stop", "its parts make"),
        ("last = 20\n", "last = 10\n", r"air_stops", "to 10"),
        ("rate = 30\n", "rate = -30\n", r"ascent\.rate", "greater than 0"),
        ("rate = 30\n", "rate = nan\n", r"ascent\.rate", "finite|number"),
        ("off_by_s = -20", "off_by_s = -10", r"known_exceptions\[1\]", "not needed"),
        ('check = "groups by depth"', 'check = "gruops"', r"known_exceptions\[2\]\.check", "there are:"),
        ('format = "tables/1"', 'format = "tables/2"', r"format", "tables/1"),
        ('authority = "U.S. Navy"\n', "", r"authority", "missing"),
        ('"M", "N", "O", "Z"]', '"M", "N", "O", "O", "Z"]', r"groups", "more than once"),
    ],
)
def test_one_wrong_figure_elsewhere_is_named(old: str, new: str, key: str, reason: str) -> None:
    found = problems(changed(old, new))
    assert any(re.search(key, at) and re.search(reason, why) for at, why in found.items()), found


@pytest.mark.parametrize(
    ("at", "gases", "why"),
    [
        (1, '"air_oxygen"', "is not exceptional"),
        (3, '"air"', "must not name air"),
        (3, '"air_oxygen", "air"', "must not name air"),
        (3, '"air_oxygen", "air_oxygen"', "the same gas twice"),
    ],
)
def test_a_class_spared_on_a_wrong_gas_is_named(at: int, gases: str, why: str) -> None:
    name = {1: "normal", 3: "exceptional_air_o2_or_surface_o2_required"}[at]
    line = next(line for line in SHIPPED.splitlines() if line.startswith(f'  {{ name = "{name}"'))
    bare = line.split(", unless_on")[0].removesuffix(" },")
    found = problems(changed(line, f"{bare}, unless_on = [{gases}] }},"))
    assert list(found) == [f"exposures[{at}].unless_on"]
    assert why in found[f"exposures[{at}].unless_on"]


def test_a_class_spared_on_a_gas_there_is_not_is_named() -> None:
    found = problems(changed('"air_oxygen", "surface_oxygen"]', '"oxygen", "surface_oxygen"]'))
    assert list(found) == ["exposures[3].unless_on[1]"]


def test_an_undeclared_printing_error_is_refused() -> None:
    """Revision 7 prints the air/oxygen total of 170/180 as 648:00; its parts make 648:20."""
    line = next(line for line in SHIPPED.splitlines(keepends=True) if 'check = "oxygen total"' in line)
    found = problems(changed(line, ""))
    assert list(found.values()) == ["prints 648:00 but its parts make 648:20 (schedule 170/180)"]


def test_an_exception_that_is_not_needed_is_refused() -> None:
    """A declared exception must not lie ready to cover a later slip."""
    line = '  { check = "air total", depth = 60, time = 65, off_by_s = 20, note = "none" },\n'
    found = problems(changed("known_exceptions = [\n", "known_exceptions = [\n" + line))
    assert found == {
        "known_exceptions[1]": "not needed: 60/65 does not fail 'air total' like this; remove it"
    }


def test_every_failing_row_is_listed_at_once() -> None:
    text = changed('air_total = "4:00"', 'air_total = "4:30"')
    text = changed('air_total = "138:40"', 'air_total = "139:40"', text)
    assert len(problems(text)) == 2


@pytest.mark.parametrize("text", ["", "title = ", "\x00", "[schedules]\nrows = 3"])
def test_other_files_are_refused(text: str) -> None:
    assert problems(text)


def test_bytes_that_are_not_text_are_refused() -> None:
    with pytest.raises(FileError, match="not UTF-8"):
        load_tables(b"\xff\xfe", "some.toml")


def test_another_authoritys_form_is_read() -> None:
    """Metres, other spacing, rate and last stop, no groups, travel added between stops, nothing optional."""
    tables = load_tables(MADE_UP.encode(), "made-up-msw.toml")
    assert (tables.unit, tables.depths, tables.row_depths) == ("msw", (9, 12, 15), (12, 15))
    assert not tables.file.for_diving
    assert tables.file.ascent.travel_s(15, 9) == 20


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('air_total = "12:50"', 'air_total = "12:40"', "schedules.rows[2].air_total"),
        ("depth = 15, limit = 60", "depth = 15, limit = 90", "schedules.rows[2]"),
        (
            "air_stops = [[6, 5]]",
            'oxygen_stops = [], oxygen_total = "0:00", air_stops = [[6, 5]]',
            "schedules.rows[1]",
        ),
    ],
)
def test_another_authoritys_sums_are_checked(old: str, new: str, key: str) -> None:
    assert any(at.startswith(key) for at in problems(changed(old, new, MADE_UP)))
