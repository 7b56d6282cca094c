"""`station record print`, `export` and `schema`: where files go, what is never written over, exit codes."""

import errno
import io
import json
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from station.cli import main

if TYPE_CHECKING:
    from tests.print.conftest import Bodies, Printable

SURVEY = "ossary-dam/gate-survey-1"


@pytest.fixture
def file(tmp_path: Path, signed: "Printable") -> Path:
    path = tmp_path / "dive.toml"
    path.write_bytes(signed(SURVEY))
    return path


@pytest.fixture
def other(tmp_path: Path, signed: "Printable") -> Path:
    path = tmp_path / "other.toml"
    path.write_bytes(signed(SURVEY))
    return path


def pages(path: Path) -> int:
    return len(PdfReader(io.BytesIO(path.read_bytes())).pages)


def test_a_pdf_is_written_beside_the_record(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "print", str(file)]) == 0
    assert 1 <= pages(file.with_suffix(".pdf")) <= 3
    assert capsys.readouterr().out == f"{file.with_suffix('.pdf')}: sound\n"


def test_a_pdf_is_not_written_over_unless_told_to(file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    place = file.with_suffix(".pdf")
    place.write_bytes(b"another")
    assert main(["record", "print", str(file)]) == 8
    assert "add --force" in capsys.readouterr().err
    assert place.read_bytes() == b"another"
    assert main(["record", "print", str(file), "--force", "--paper", "letter"]) == 0
    assert pages(place) >= 1


@pytest.mark.parametrize("command", [["print"], ["export", "--json"]])
def test_a_record_is_never_written_over(
    command: list[str], file: Path, other: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    before = other.read_bytes()
    assert main(["record", *command, str(file), "--out", str(other), "--force"]) == 8
    assert "a record is never written over" in capsys.readouterr().err
    assert other.read_bytes() == before


def test_several_records_go_into_a_folder_counted_on_a_terminal(
    file: Path, other: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    cabinet = file.parent / "cabinet"
    cabinet.mkdir()
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    assert main(["record", "print", str(file), str(other), "--out", str(cabinet)]) == 0
    assert sorted(path.name for path in cabinet.iterdir()) == ["dive.pdf", "other.pdf"]
    told = capsys.readouterr().err
    assert "record 1 of 2" in told
    assert "record 2 of 2" in told


def test_off_a_terminal_nothing_is_counted(
    file: Path, other: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", "print", str(file), str(other)]) == 0
    assert not capsys.readouterr().err


def test_two_records_do_not_go_into_one_file(
    file: Path, other: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", "print", str(file), str(other), "--out", str(file.parent / "one.pdf")]) == 2
    assert "is no folder" in capsys.readouterr().err


def test_two_records_of_one_name_do_not_go_into_one_folder(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    twin = file.parent / "more" / file.name
    twin.parent.mkdir()
    twin.write_bytes(file.read_bytes())
    assert main(["record", "print", str(file), str(twin), "--out", str(file.parent)]) == 2
    assert "the same name" in capsys.readouterr().err


def test_what_is_not_sound_is_printed_and_the_exit_code_says_so(
    file: Path, other: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_bytes(file.read_bytes().replace(b"Jona Strand", b"Jona Strang", 1))
    assert main(["record", "print", str(file)]) == 6
    assert pages(file.with_suffix(".pdf")) >= 1
    assert "signature 1 does not match" in capsys.readouterr().err
    assert main(["record", "print", str(file), str(other), "--force"]) == 6
    assert other.with_suffix(".pdf").exists()
    assert "1 of 2 not printed, or printed though not sound" in capsys.readouterr().err


def test_a_missing_record_among_several_keeps_no_other_from_being_printed(file: Path) -> None:
    assert main(["record", "print", str(file.parent / "none.toml"), str(file)]) == 3
    assert file.with_suffix(".pdf").exists()


@pytest.mark.parametrize("command", [["print"], ["export", "--csv", "--out", "dive.csv"]])
def test_a_full_disk_leaves_nothing_half_written(
    command: list[str], file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(_handle: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.chdir(file.parent)
    monkeypatch.setattr(os, "fsync", full)
    assert main(["record", command[0], str(file), *command[1:]]) == 8
    assert "No space left on device" in capsys.readouterr().err
    assert [path.name for path in file.parent.iterdir()] == ["dive.toml"]


def test_a_full_temporary_folder_is_told_in_words(
    file: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(file.parent / "none"))
    assert main(["record", "print", str(file)]) == 8
    assert "storage" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("form", "begins"), [("--csv", "time_utc,kind"), ("--json", '{\n "sha256"'), ("--text", "****")]
)
def test_a_record_is_exported_to_the_output_or_a_file(
    form: str, begins: str, file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["record", "export", str(file), form]) == 0
    said = capsys.readouterr().out
    assert said.startswith(begins)
    out = file.parent / "out"
    assert main(["record", "export", str(file), form, "--out", str(out)]) == 0
    assert out.read_bytes().decode() == said


@pytest.mark.parametrize("forms", [[], ["--json", "--csv"]])
def test_one_form_is_named(forms: list[str], file: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "export", str(file), *forms]) == 2
    assert "name one form" in capsys.readouterr().err


def test_an_unsigned_record_is_exported_and_the_exit_code_says_so(
    file: Path, bodies: "Bodies", capsys: pytest.CaptureFixture[str]
) -> None:
    file.write_bytes(bodies[SURVEY])
    assert main(["record", "export", str(file), "--json"]) == 6
    assert json.loads(capsys.readouterr().out)["verdict"]["missing"] == ["timekeeper", "supervisor"]


def test_the_schema_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "schema"]) == 0
    assert json.loads(capsys.readouterr().out)["title"] == "Record of a dive"
