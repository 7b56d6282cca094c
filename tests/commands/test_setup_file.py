"""The station file: every flaw named with its key and reason, every file it names found or missed by name."""

from collections.abc import Callable
from pathlib import Path

import pytest

from station import shipped as shipped_module
from station.errors import FileError
from station.setup import call_list_lacks, default_station, find, load_setup
from station.shipped import shipped

SOUND = """format = "station/1"
name = "Quay"
place = "North steps"
altitude_ft = 12

[files]
outfit = "outfits/deep-sea.toml"
tables = "tables/usn-rev7-air.toml"
supply = "supply/deep-sea-air.toml"

[ages]
depth_s = 300

[[people]]
id = "ivo"
name = "Ivo Brandt"
roles = ["tender"]
"""
Problems = Callable[[str, str], list[tuple[str, str]]]


@pytest.fixture
def problems(tmp_path: Path) -> Problems:
    """Return what finds the problems of the sound file with one place changed."""

    def found(old: str, new: str) -> list[tuple[str, str]]:
        assert old in SOUND
        path = tmp_path / "stations" / "quay.toml"
        path.parent.mkdir()
        path.write_text(SOUND.replace(old, new))
        with pytest.raises(FileError) as caught:
            load_setup(path)
        assert str(path) in caught.value.message
        return list(caught.value.problems)

    return found


def test_the_shipped_station_passes() -> None:
    setup = load_setup()
    assert setup.station.altitude_ft == 0
    assert [use.name for use in setup.uses] == [
        "default.toml",
        "deep-sea.toml",
        "usn-rev7-air.toml",
        "deep-sea-air.toml",
        "emergency.toml",
        "us-29-cfr-1910.toml",
    ]
    assert default_station().name == "default.toml"


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        ("altitude_ft", "altitute_ft", "altitute_ft", "unknown key; did you mean 'altitude_ft'?"),
        ("depth_s", "depht_s", "ages.depht_s", "unknown key; did you mean 'depth_s'?"),
        ('"Quay"', "3", "name", "input should be a valid string (found 3)"),
        ("300", '"300"', "ages.depth_s", "input should be a valid integer (found '300')"),
        ("300", "0", "ages.depth_s", "input should be greater than or equal to 1 (found 0)"),
        ("= 12", "= 10001", "altitude_ft", "input should be less than or equal to 10000 (found 10001)"),
        ("= 12", "= -1501", "altitude_ft", "input should be greater than or equal to -1500 (found -1501)"),
        ('place = "North steps"\n', "", "place", "missing; this key is required"),
        ('"tender"', '"cook"', "people[1].roles[1]", "input should be 'tender', 'timekeeper', 'supervisor'"),
        ('["tender"]', "[]", "people[1].roles", "tuple should have at least 1 item"),
        ('"ivo"', '"Ivo B"', "people[1].id", "string should match pattern"),
        ("station/1", "station/2", "format", "input should be 'station/1' (found 'station/2')"),
        ("deep-sea-air.toml", "deep sea.toml", "files.supply", "string should match pattern"),
    ],
)
def test_a_flaw_is_named_with_its_key(problems: Problems, old: str, new: str, key: str, reason: str) -> None:
    found = problems(old, new)
    assert [name for name, _ in found] == [key]
    assert found[0][1].startswith(reason)


def test_all_flaws_are_named_at_once(problems: Problems) -> None:
    found = problems('name = "Quay"\nplace = "North steps"', "nmae = 3")
    assert [key for key, _ in found] == ["name", "place", "nmae"]


@pytest.mark.parametrize("altitude_ft", [300, 301, 10_000])
def test_a_site_may_lie_as_high_as_dives_are_reckoned(tmp_path: Path, altitude_ft: int) -> None:
    """U.S. Navy Diving Manual Revision 4, page 9-41: up to 10,000 ft."""
    path = tmp_path / "quay.toml"
    path.write_text(SOUND.replace("= 12", f"= {altitude_ft}"))
    assert load_setup(path).station.altitude_ft == altitude_ft


def test_one_person_stands_once(problems: Problems) -> None:
    twice = 'roles = ["tender"]\n\n[[people]]\nid = "ivo"\nname = "Ivo Two"\nroles = ["diver"]'
    ((key, reason),) = problems('roles = ["tender"]', twice)
    assert (key, reason) == ("", "people: the same id stands twice: ivo")


CALL = """roles = ["tender"]

[[call_list]]
name = "Quay Infirmary"
number = "555-0100"
what = "hospital"
"""


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        ('"hospital"', '"bakery"', "call_list[1].what", "input should be 'chamber', 'hospital', 'physician'"),
        ('"555-0100"', '"ask Ivo"', "call_list[1].number", "string should match pattern"),
        ('"Quay Infirmary"', '""', "call_list[1].name", "string should have at least 1 character"),
        ("number", "nubmer", "call_list[1].number", "missing; this key is required"),
        (CALL, CALL + CALL.partition("\n\n")[2], "", "call_list: the same number stands twice"),
    ],
)
def test_a_flaw_in_the_call_list_is_named(
    problems: Problems, old: str, new: str, key: str, reason: str
) -> None:
    found = problems('roles = ["tender"]\n', CALL.replace(old, new))
    assert found[0][0] == key
    assert found[0][1].startswith(reason)


@pytest.mark.parametrize(
    ("words", "key", "reason"),
    [
        ('sound = "horn"', "alarms.sound", "input should be 'bell' or 'off'"),
        ("high_repeat_s = 2", "alarms.high_repeat_s", "input should be greater than or equal to 3"),
        ("medium_repeat_s = 9", "alarms", "high_repeat_s is longer than medium_repeat_s"),
        ("low_repeat_s = 9", "alarms.low_repeat_s", "unknown"),
    ],
)
def test_a_flaw_in_how_alarms_sound_is_named(problems: Problems, words: str, key: str, reason: str) -> None:
    found = problems('roles = ["tender"]\n', f'roles = ["tender"]\n\n[alarms]\n{words}\n')
    assert found[0][0] == key
    assert found[0][1].startswith(reason)


def test_what_the_call_list_lacks_is_told(tmp_path: Path) -> None:
    """29 CFR 1910.421(b): chamber, hospitals, physicians, transport, the rescue centre; a parallel text."""
    path = tmp_path / "quay.toml"
    path.write_text(SOUND.replace('roles = ["tender"]\n', CALL))
    lacking = ("decompression chamber", "physician", "transport", "rescue centre")
    assert call_list_lacks(load_setup(path).station) == lacking
    ossary = load_setup(shipped("demo") / "ossary-dam" / "station.toml").station
    assert call_list_lacks(ossary) == ()


def test_a_missing_file_is_named_with_the_places_looked_at(problems: Problems, tmp_path: Path) -> None:
    ((key, reason),) = problems("outfits/deep-sea.toml", "outfits/shallow.toml")
    assert key == "files"
    places = (tmp_path / "stations", tmp_path, shipped("configs"))
    looked = ", ".join(str(place / "outfits" / "shallow.toml") for place in places)
    assert reason == f"no such file: outfits/shallow.toml (looked for {looked})"


def test_a_file_beside_the_station_file_comes_before_the_shipped_one(tmp_path: Path) -> None:
    station = tmp_path / "stations" / "quay.toml"
    name = "supply/deep-sea-air.toml"
    assert find(name, station) == shipped("configs") / name
    for place in (tmp_path, tmp_path / "stations"):
        (place / "supply").mkdir(parents=True)
        (place / name).write_text("x")
        assert find(name, station) == place / name


def test_a_flaw_in_a_file_it_names_is_told_of_that_file(tmp_path: Path) -> None:
    (tmp_path / "supply").mkdir()
    (tmp_path / "supply" / "deep-sea-air.toml").write_text('format = "supply/9"\n')
    path = tmp_path / "quay.toml"
    path.write_text(SOUND)
    with pytest.raises(FileError) as caught:
        load_setup(path)
    assert caught.value.path == str(tmp_path / "supply" / "deep-sea-air.toml")


def test_a_file_name_too_long_for_a_record_is_refused(tmp_path: Path) -> None:
    path = tmp_path / f"{'q' * 80}.toml"
    path.write_text(SOUND)
    with pytest.raises(FileError, match="the name of the file cannot stand on a record: string should"):
        load_setup(path)


@pytest.mark.parametrize("kind", ["configs", "demo"])
def test_shipped_files_are_found_beside_the_package_and_inside_it(
    kind: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In a checkout they stand beside the package, in a wheel inside it: see pyproject.toml."""
    package = tmp_path / "station"
    package.mkdir()
    monkeypatch.setattr(shipped_module, "_HERE", package)
    assert shipped(kind) == tmp_path / kind
    (package / "shipped" / kind).mkdir(parents=True)
    assert shipped(kind) == package / "shipped" / kind
