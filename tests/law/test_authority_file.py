"""Rule files: the shipped ones hold what the law asks, every flaw is named with key and reason."""

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, get_args

import pytest

from station.commands.check import check_file
from station.errors import FileError
from station.law.model import Tested, load_authority
from station.setup import load_setup
from station.supply.model import Tested as Dated
from tests.law.conftest import MADE_UP, SHIPPED

if TYPE_CHECKING:
    from station.law.model import Authority


def test_the_fields_of_the_record_of_a_dive(labour: "Authority") -> None:
    """29 CFR 1910.423(d)(1) to (3), from memory, held against the like list of 46 CFR 197.482(b), read."""
    bigger = ("outside the no-stop limits", "deeper than 100 fsw", "mixed gas")
    sick = ("decompression sickness suspected",)
    expected: dict[str, tuple[str, ...]] = {}
    expected |= {f"1910.423(d)(1)({one})": ("always",) for one in ("i", "ii", "iii", "iv", "v", "vi")}
    expected |= {f"1910.423(d)(2)({one})": bigger for one in ("i", "ii", "iii")}
    expected |= {f"1910.423(d)(3)({one})": sick for one in ("i", "ii")}
    assert {one.paragraph: one.when for one in labour.asked} == expected
    assert {one.basis for one in labour.asked} == {"from memory"}


def test_the_two_authorities_differ_where_they_are_known_to(
    labour: "Authority", coast_guard: "Authority"
) -> None:
    """Hoses yearly (29 CFR 1910.430(c), from memory) or every 24 months (46 CFR 197.456, read)."""

    def hose(one: "Authority") -> int | None:
        return next(test.every_months for test in one.tests if test.dated_as == "hose")

    assert (hose(labour), hose(coast_guard)) == (12, 24)
    assert "deeper than 100 fsw" in labour.observation[0].when
    assert "130 fsw or deeper" in coast_guard.observation[0].when
    assert [one.minutes for one in (*labour.observation, *coast_guard.observation)] == [60, 60]


def test_the_record_is_kept_as_long_as_the_regulation_says(
    labour: "Authority", coast_guard: "Authority"
) -> None:
    """Read: 29 CFR 1910.440(b)(3), a year, five after decompression sickness; 46 CFR 197.488(a), 6 months."""
    kept = {one.when: one.years for one in labour.retention if one.papers == "record of dive"}
    assert kept == {("always",): 1, ("decompression sickness suspected",): 5}
    assert [(one.when, one.months) for one in coast_guard.retention] == [(("death or injury",), 6)]


@pytest.mark.parametrize("path", sorted(SHIPPED.glob("*.toml")), ids=lambda path: path.stem)
def test_every_shipped_file_passes_and_says_how_much_is_from_memory(path: Path) -> None:
    said = check_file(path)
    assert "passes as rule file of an authority" in said
    assert "lines to be confirmed" in said


def test_dated_tests_are_of_the_kinds_that_a_supply_file_knows() -> None:
    assert get_args(Tested) == get_args(Dated)


Problems = Callable[[str, str], list[tuple[str, str]]]


@pytest.fixture
def problems() -> Problems:
    """Return what finds the problems of the made-up file with one place changed."""

    def found(old: str, new: str) -> list[tuple[str, str]]:
        assert old in MADE_UP
        with pytest.raises(FileError) as caught:
            load_authority(MADE_UP.replace(old, new, 1).encode(), "lacustria.toml")
        assert "lacustria.toml" in caught.value.message
        return list(caught.value.problems)

    return found


@pytest.mark.parametrize(
    ("old", "new", "key", "reason"),
    [
        (
            '"dive.diver_name"',
            '"dive.diver_nane"',
            "asked[1].keys[1]",
            "the record has no key 'dive.diver_nane'; did you mean 'dive.diver_name'?",
        ),
        ('"dive.diver_name"', '"x.y"', "asked[1].keys[1]", "the record has no key 'x.y'; known keys: "),
        (
            "30 msw or deeper",
            "30 m or deeper",
            "asked[2].when[1]",
            "unknown condition '30 m or deeper'; known are: 'always', 'outside the no-stop limits', ",
        ),
        (
            '["30 msw or deeper"]',
            '["mixed gas", "always"]',
            "asked[2]",
            "what is asked for 'always' needs no",
        ),
        ('["always"]', "[]", "asked[1].when", "tuple should have at least 1 item"),
        ('"from memory"', '"hearsay"', "asked[2].basis", "input should be 'read', 'read in part', "),
        (
            "minutes = 90",
            "minutes = 0",
            "observation[1].minutes",
            "input should be greater than or equal to 1",
        ),
        ("minutes = 90", "minuets = 90", "observation[1].minuets", "unknown key; did you mean 'minutes'?"),
        ("years = 10\nmonths = 6\n", "", "retention[1]", "how long is missing: years, months or both"),
        ('"12(1)"', '"12 §1"', "asked[1].paragraph", "string should match pattern"),
        ("authority/1", "authority/2", "format", "input should be 'authority/1' (found 'authority/2')"),
        ('what = "who dived"\n', "", "asked[1].what", "missing; this key is required"),
        ('id = "tea"', 'id = "Tea"', "told[1].id", "string should match pattern"),
    ],
)
def test_every_flaw_is_named(problems: Problems, old: str, new: str, key: str, reason: str) -> None:
    found = dict(problems(old, new))
    assert found[key].startswith(reason)


def test_an_item_may_stand_only_once() -> None:
    item = MADE_UP[MADE_UP.index("[[told]]") : MADE_UP.index("[[observation]]")]
    with pytest.raises(FileError, match="told: the same id stands twice: tea"):
        load_authority((MADE_UP + item).encode(), "x.toml")


STATION = """format = "station/1"
name = "Quay"
place = "North steps"
[files]
outfit = "outfits/deep-sea.toml"
tables = "tables/usn-rev7-air.toml"
supply = "supply/deep-sea-air.toml"
authorities = [AUTHORITIES]
"""


def station(folder: Path, *names: str) -> Path:
    path = folder / "station.toml"
    path.write_text(STATION.replace("AUTHORITIES", ", ".join(f'"{name}"' for name in names)), "utf-8")
    return path


def test_a_station_names_its_authorities_another_country_s_beside_it(tmp_path: Path) -> None:
    (tmp_path / "lacustria.toml").write_text(MADE_UP, encoding="utf-8")
    setup = load_setup(station(tmp_path, "lacustria.toml", "authorities/us-46-cfr-197.toml"))
    assert [one.id for one in setup.authorities] == ["lacustria-work-act", "us-46-cfr-197"]
    assert [use.name for use in setup.uses if use.role == "authority"] == [
        "lacustria.toml",
        "us-46-cfr-197.toml",
    ]


@pytest.mark.parametrize(
    ("names", "words"),
    [
        ((), "files.authorities: tuple should have at least 1 item"),
        (("authorities/atlantis.toml",), "no such file: authorities/atlantis.toml"),
        (("authorities/us-46-cfr-197.toml",) * 2, "the same authority is named twice: us-46-cfr-197"),
        (("cards/emergency.toml",), "format: input should be 'authority/1'"),
    ],
)
def test_a_station_with_authorities_that_will_not_do(
    tmp_path: Path, names: tuple[str, ...], words: str
) -> None:
    with pytest.raises(FileError, match=words.replace("(", r"\(")):
        load_setup(station(tmp_path, *names))
