"""Errors: a sentence, a title and an exit code each, as the tree in the module says."""

import re

import pytest

from station import errors
from station.errors import FileError, HeadMoved, JournalError, Refusal, StationError


def tree(kind: type[StationError] = StationError) -> list[type[StationError]]:
    return [kind, *(one for child in kind.__subclasses__() for one in tree(child))]


def test_the_drawing_shows_every_error_with_its_code() -> None:
    drawn = re.findall(r"-- (\w+) +(\d+) ", errors.__doc__ or "")
    assert sorted(drawn) == sorted((one.__name__, str(one.exit_code)) for one in tree()[1:])


def test_areas_do_not_share_an_exit_code() -> None:
    """Both kinds of files that hold the wrong thing share 3; else a code tells the area."""
    codes = [one.exit_code for one in StationError.__subclasses__()]
    assert sorted(codes) == [2, 3, 3, 4, 5, 6, 7, 8, 9, 10]
    assert HeadMoved.exit_code == JournalError.exit_code


@pytest.mark.parametrize(
    "kind", [one for one in tree() if one is not FileError], ids=lambda kind: kind.__name__
)
def test_an_error_shows_its_sentence(kind: type[StationError]) -> None:
    error = kind("the hose is not tested; test it")
    assert str(error) == error.message == "the hose is not tested; test it"
    assert error.title


def test_a_file_error_lists_all_problems() -> None:
    error = FileError("plant.toml", [("", "not valid TOML"), ("banks[1].name", "missing")])
    assert str(error) == "plant.toml: not valid TOML\nplant.toml: banks[1].name: missing"
    assert error.problems == (("", "not valid TOML"), ("banks[1].name", "missing"))


def test_a_refusal_carries_what_is_missing() -> None:
    error = Refusal("the belt waits for the nuts", ["nut 3", "nut 12"])
    assert (str(error), error.missing) == ("the belt waits for the nuts", ("nut 3", "nut 12"))
