"""Reading files: every problem at once, with its key and what would be right."""

from datetime import date
from pathlib import Path
from typing import Annotated, Literal, Self

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import Field, model_validator

from station.errors import FileError
from station.files import FileModel, digest, load, read_bytes
from station.moments import Moment


class Bank(FileModel):
    name: str
    cylinders: Annotated[int, Field(ge=1)]
    pressure_psig: Annotated[float, Field(ge=0, le=6000)] = 0.0


class Compressor(FileModel):
    kind: Literal["compressor"]
    output_acfm: float


class Hose(FileModel):
    kind: Literal["hose"]
    length_ft: float


class Plant(FileModel):
    title: str
    tested: date | None = None
    opened: Moment | None = None
    banks: tuple[Bank, ...] = ()
    parts: tuple[Annotated[Compressor | Hose, Field(discriminator="kind")], ...] = ()
    spare: Bank | None = None

    @model_validator(mode="after")
    def names_differ(self) -> Self:
        names = [bank.name for bank in self.banks]
        if len(set(names)) < len(names):
            raise ValueError("two banks have one name; give each its own")
        return self


def problems(text: str) -> list[tuple[str, str]]:
    with pytest.raises(FileError) as caught:
        load(text.encode(), "plant.toml", Plant)
    assert caught.value.path == "plant.toml"
    assert all(line.startswith("plant.toml: ") for line in str(caught.value).splitlines())
    assert len(str(caught.value).splitlines()) == len(caught.value.problems)
    return list(caught.value.problems)


def test_a_good_file_is_read_as_it_stands() -> None:
    text = """
title = "North quay"
tested = 2031-02-28
opened = 2031-05-04T08:15:30.25Z
[[banks]]
name = "A"
cylinders = 3
pressure_psig = 2200
[[parts]]
kind = "hose"
length_ft = 600.0
"""
    plant = load(text.encode(), "plant.toml", Plant)
    assert (plant.tested, plant.banks[0].pressure_psig) == (date(2031, 2, 28), 2200.0)
    assert plant.opened is not None
    assert plant.opened.microsecond == 250_000
    assert plant.parts == (Hose(kind="hose", length_ft=600.0),)


def test_every_problem_is_listed_at_once() -> None:
    text = """
titel = "North quay"
[[banks]]
name = "A"
cylinders = 0
[[banks]]
name = 7
cylinders = 3
pressure = 1
[[parts]]
kind = "horn"
"""
    assert sorted(key for key, _ in problems(text)) == [
        "banks[1].cylinders",
        "banks[2].name",
        "banks[2].pressure",
        "parts[1]",
        "titel",
        "title",
    ]


@pytest.mark.parametrize(
    ("text", "key", "why"),
    [
        ("title = 'x'\nbansk = 1", "bansk", "unknown key; did you mean 'banks'?"),
        ("title = 'x'\n\"a\\nb\" = 1", '"a\\nb"', "unknown key; known keys: banks"),
        ("", "title", "missing; this key is required"),
        (
            "title = 'x'\nzzz = 1",
            "zzz",
            "unknown key; known keys: banks, opened, parts, spare, tested, title",
        ),
        (
            "title = 'x'\n[[banks]]\nname = 'A'\ncylinder = 3\ncylinders = 3",
            "banks[1].cylinder",
            "unknown key; did you mean 'cylinders'?",
        ),
        (
            "title = 'x'\n[spare]\nname = 'A'\ncylinders = 3\nnaem = 'B'",
            "spare.naem",
            "unknown key; did you mean 'name'?",
        ),
        (
            "title = 'x'\n[[parts]]\nkind = 'hose'\nlength_ft = 1.0\nlenght_ft = 2.0",
            "parts[1].hose.lenght_ft",
            "unknown key; did you mean 'length_ft'?",
        ),
        ("title = 3", "title", "input should be a valid string (found 3)"),
        (
            "title = 'x'\n[[banks]]\nname = 'A'\ncylinders = '3'",
            "banks[1].cylinders",
            "input should be a valid integer (found '3')",
        ),
        (
            "title = 'x'\n[[banks]]\nname = 'A'\ncylinders = 3\npressure_psig = 99999",
            "banks[1].pressure_psig",
            "input should be less than or equal to 6000 (found 99999)",
        ),
        (
            "title = 'x'\n[[banks]]\nname = 'A'\ncylinders = 3\npressure_psig = inf",
            "banks[1].pressure_psig",
            "input should be a finite number (found inf)",
        ),
        (
            "title = 'x'\n[[banks]]\nname = 'A'\ncylinders = 3\npressure_psig = nan",
            "banks[1].pressure_psig",
            "input should be a finite number (found nan)",
        ),
        (
            "title = 'x'\n[[banks]]\nname = 'A'\ncylinders = true",
            "banks[1].cylinders",
            "input should be a valid integer (found True)",
        ),
        (
            "title = 'x'\nopened = 2031-05-04T08:15:30",
            "opened",
            "a time needs its zone; write it in UTC with a Z",
        ),
        (
            "title = 'x'\n[[banks]]\nname = 'A'\ncylinders = 1\n[[banks]]\nname = 'A'\ncylinders = 1",
            "",
            "two banks have one name; give each its own",
        ),
        ("title = '" + "x" * 99 + "'\nbanks = '" + "y" * 99 + "'", "banks", "(found 'yyyyyyyyyyyyyyyyyyy"),
    ],
)
def test_a_problem_names_its_key_and_what_would_be_right(text: str, key: str, why: str) -> None:
    found = problems(text)
    assert [one for one, _ in found] == [key]
    assert why in found[0][1]


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"title = \xff", "not UTF-8 text (byte 9)"),
        (b"title = ", "not valid TOML: Invalid value"),
        (b"title = 'a'\ntitle = 'b'\n", "not valid TOML: Cannot overwrite a value (at line 2"),
        (b"title = 2031-02-30", "not valid TOML"),
        (b"title = " + b"9" * 5000, "not valid TOML: a number has too many digits"),
        (b"title = 0x" + b"f" * 5000, "a number has too many digits"),
        (b"title = " + b"[" * 5000 + b"]" * 5000, "not valid TOML: tables or arrays are nested too deeply"),
        (b"title" + b".a" * 5000 + b" = 1", "tables or arrays are nested too deeply"),
        (b"title" + b".a" * 300 + b" = 1", "tables or arrays are nested too deeply"),
        (b"\x00\x01\x02", "not valid TOML"),
    ],
    ids=[
        "bytes",
        "no value",
        "twice",
        "30 February",
        "long number",
        "long number in hex",
        "deep",
        "deep by dots",
        "rather deep",
        "binary",
    ],
)
def test_what_is_no_toml_is_told_in_a_sentence(data: bytes, why: str) -> None:
    with pytest.raises(FileError) as caught:
        load(data, "plant.toml", Plant)
    assert str(caught.value).startswith("plant.toml: ")
    assert why in str(caught.value)


@given(st.binary(max_size=200) | st.text(max_size=200).map(str.encode))
@settings(derandomize=True, deadline=None, max_examples=200)
def test_no_bytes_bring_anything_but_a_list_of_problems(data: bytes) -> None:
    try:
        load(data, "plant.toml", Plant)
    except FileError as error:
        words, listed = str(error), error.problems
    else:
        return
    assert words.startswith("plant.toml: ")
    assert len(words.splitlines()) == len(listed) > 0


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(FileError, match=r"plant.toml: no such file"):
        read_bytes(tmp_path / "plant.toml")


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="cannot be read: Is a directory"):
        read_bytes(tmp_path)


def test_a_name_no_file_can_have_is_told(tmp_path: Path) -> None:
    for name in ("a\0b", "x" * 5000):
        with pytest.raises(FileError, match="cannot be read"):
            read_bytes(tmp_path / name)


def test_a_file_is_named_by_its_sha256(tmp_path: Path) -> None:
    """SHA-256 of "abc": FIPS 180-4 examples (NIST, SHA256.pdf), from memory."""
    (tmp_path / "a").write_bytes(b"abc")
    assert digest(read_bytes(tmp_path / "a")) == (
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    )
