"""Addenda to signed records, and what is said of records that are verified one by one or together."""

import shutil
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.clock import HandClock
from station.closeout import (
    enter_signatures,
    file_key,
    sign_record,
    verdict_on,
    write_record,
)
from station.errors import StorageError
from station.events import RecordSigned, Role
from station.folder import Folder
from station.journal.interface import Entry
from station.journal.memory import MemoryJournal
from station.record.places import what_stands
from station.record.signed import Addendum
from station.setup import Setup
from station.watch import Watch

if TYPE_CHECKING:
    from tests.record_document.conftest import Drill, Say

SECRET = "correct horse"
PEOPLE: tuple[tuple[str, Role], ...] = (
    ("tam-belcourt", "timekeeper"),
    ("ines-oyelaran", "supervisor"),
)


@pytest.fixture
def folder(tmp_path: Path, keyed: Folder) -> Folder:
    return Folder(shutil.copytree(keyed.path, tmp_path / "station"))


Signed = tuple[list[Entry], str, bytes]


@pytest.fixture(scope="module")
def once(played: "Drill", setup: Setup, keyed: Folder, tmp_path_factory: pytest.TempPathFactory) -> Signed:
    """The journal, the name and the bytes of a record that both who must have signed."""
    folder = Folder(shutil.copytree(keyed.path, tmp_path_factory.mktemp("once") / "station"))
    drill = on_a_journal_of_its_own(played, setup, played.watch.entries)
    path = write_record(drill.watch, 1, folder)
    for person, role in PEOPLE:
        sign_record(drill.watch, 1, path, folder, person, role, file_key(folder, person, SECRET))
    return drill.watch.entries, path.name, path.read_bytes()


def on_a_journal_of_its_own(drill: "Drill", setup: Setup, entries: list[Entry]) -> "Drill":
    journal, clock = MemoryJournal(), HandClock(entries[-1].event.at)
    for entry in entries:
        journal.append(entry.event, entry.seq - 1)
    return replace(drill, watch=Watch(journal, setup, clock), clock=clock)


@pytest.fixture
def closed(played: "Drill", setup: Setup, once: Signed) -> "Drill":
    return on_a_journal_of_its_own(played, setup, once[0])


@pytest.fixture
def record(folder: Folder, once: Signed) -> Path:
    path = folder.records / once[1]
    path.write_bytes(once[2])
    return path


def entered(drill: "Drill") -> list[tuple[str, str, int | None]]:
    events = [entry.event for entry in drill.watch.entries]
    return [(one.person, one.role, one.addenda) for one in events if isinstance(one, RecordSigned)]


ADDENDUM = (
    "--corrects",
    "times.bottom_time_min",
    "--text",
    "35; the mark was taken late",
    "--reason",
    "The slate of the timekeeper says 08:04:20.",
)


class TestAddendum:
    def test_is_put_under_what_stays_byte_for_byte_and_the_journal_is_told(
        self, closed: "Drill", record: Path, folder: Folder, say: "Say"
    ) -> None:
        before = record.read_bytes()
        code, out, err = say("record", "addendum", str(record), "--as", "tam-belcourt:timekeeper", *ADDENDUM)
        assert (code, err) == (0, "")
        assert "times.bottom_time_min stands as: 34\n" in out
        assert out.count("on the list, with addenda: 1\n") == 1
        assert record.read_bytes().startswith(before)
        (found,) = tomllib.loads(record.read_text())["addendum"]
        assert (found["corrects"], found["by"]) == ("times.bottom_time_min", "tam-belcourt")
        verdict = verdict_on(record, folder)
        assert verdict.sound
        assert [len(one.addenda) for one in verdict.signatures] == [0, 0, 1]
        assert enter_signatures(closed.watch, 1, record, folder) == ("tam-belcourt:timekeeper",)
        assert entered(closed)[-1] == ("tam-belcourt", "timekeeper", 1)
        shown = say("record", "show", str(record))[1]
        assert "times.bottom_time_min stands as 34\nto stand: 35; the mark was taken late\n" in shown
        said = " ".join(shown.split())
        assert "reason: The slate of the timekeeper says 08:04:20. (Tam Belcourt, 2031-05-04T08:48:40" in said

    def test_the_others_sign_it_after(
        self, closed: "Drill", record: Path, folder: Folder, say: "Say"
    ) -> None:
        say("record", "addendum", str(record), "--as", "tam-belcourt:timekeeper", *ADDENDUM)
        assert say("record", "sign", str(record), "--as", "ines-oyelaran:supervisor")[0] == 0
        assert say("record", "sign", str(record), "--as", "tam-belcourt:timekeeper")[0] == 6
        assert len(enter_signatures(closed.watch, 1, record, folder)) == 2
        assert verdict_on(record, folder).sound

    @pytest.mark.parametrize(
        ("change", "code", "said"),
        [
            ({"--corrects": "times.bottom"}, 6, "the record has no key times.bottom; keys are written as"),
            ({"--corrects": "line 99999"}, 6, "the record's body has no line 99999; it has lines 1 to"),
            ({"--text": " "}, 2, "--text cannot stand so"),
            ({"--reason": "\x1b[2J"}, 2, "--reason cannot stand so"),
        ],
    )
    def test_what_is_no_correction_changes_nothing(
        self,
        record: Path,
        say: "Say",
        change: dict[str, str],
        code: int,
        said: str,
    ) -> None:
        before = record.read_bytes()
        words = dict(zip(ADDENDUM[::2], ADDENDUM[1::2], strict=True)) | change
        flat = [word for pair in words.items() for word in pair]
        found, _, err = say("record", "addendum", str(record), "--as", "tam-belcourt:timekeeper", *flat)
        assert (found, record.read_bytes()) == (code, before)
        assert said in err

    def test_what_nobody_signed_has_none(self, closed: "Drill", record: Path, say: "Say") -> None:
        record.write_bytes(closed.body())
        code, _, err = say("record", "addendum", str(record), "--as", "tam-belcourt:timekeeper", *ADDENDUM)
        assert (code, "nobody has signed the record yet: correct the journal" in err) == (6, True)

    def test_by_the_console_it_is_entered_with_its_signature(
        self, closed: "Drill", record: Path, folder: Folder
    ) -> None:
        added = Addendum(corrects="line 3", text="x", reason="y", by="ines-oyelaran", at=closed.clock.now())
        key = file_key(folder, "ines-oyelaran", SECRET)
        verdict = sign_record(
            closed.watch, 1, record, folder, "ines-oyelaran", "supervisor", key, [added, added]
        )
        assert verdict.sound
        assert entered(closed)[-1] == ("ines-oyelaran", "supervisor", 2)

    def test_one_cut_off_again_is_missed_by_the_journal(
        self, closed: "Drill", record: Path, folder: Folder, say: "Say"
    ) -> None:
        before = record.read_bytes()
        say("record", "addendum", str(record), "--as", "tam-belcourt:timekeeper", *ADDENDUM)
        enter_signatures(closed.watch, 1, record, folder)
        record.write_bytes(before)
        assert verdict_on(record, folder).sound
        with pytest.raises(StorageError, match="lacks the signature of tam-belcourt as timekeeper"):
            write_record(closed.watch, 1, folder)

    def test_places_are_found(self, record: Path) -> None:
        data = record.read_bytes()
        assert what_stands(data, "times.marks[1].mark") == '"left surface"'
        assert what_stands(data, "dive.started") == "2031-05-04T07:30:00.000Z"
        assert what_stands(data, "line 2") == "format = 1"
        assert what_stands(data, "journal.entries").endswith("...")


class TestVerify:
    def test_several_are_told_on_a_line_each_with_a_count(
        self, record: Path, folder: Folder, say: "Say"
    ) -> None:
        broken, absent = folder.records / "broken.toml", folder.records / "absent.toml"
        broken.write_bytes(record.read_bytes() + b"\n")
        trailing = f"line {record.read_bytes().count(10) + 1} on, is not signed"
        code, out, err = say("record", "verify", str(record), str(broken), str(absent))
        assert code == 6
        assert out.splitlines() == [
            f"{record} (DRILL): sound: signed by tam-belcourt:timekeeper, ines-oyelaran:supervisor",
            f"{broken}: altered or damaged: what follows the last signature, from {trailing}",
            f"{absent}: cannot be read: no such file",
            "3 files: 1 sound, 1 altered or damaged, 1 cannot be read",
        ]
        assert err == "station: record: 2 of 3 not sound\n"
        assert say("record", "verify", str(record), str(absent))[0] == 3
        assert say("record", "verify", str(record), str(record))[0] == 0

    def test_as_json(self, record: Path, folder: Folder, say: "Say") -> None:
        import json  # noqa: PLC0415 - only here

        size = len(record.read_bytes())
        broken = folder.records / "broken.toml"
        broken.write_bytes(record.read_bytes() + b"xy")
        code, out, _ = say("record", "verify", str(record), str(broken), "nowhere", "--json")
        rows = json.loads(out)["records"]
        assert code == 6
        assert [(one["status"], one.get("altered")) for one in rows] == [
            ("sound", None),
            ("altered or damaged", [size, size + 2]),
            ("cannot be read", None),
        ]
        assert [(one["person"], one["listed"]) for one in rows[0]["signatures"]] == [
            ("tam-belcourt", True),
            ("ines-oyelaran", True),
        ]

    def test_a_list_that_is_not_right_is_told_once(self, record: Path, folder: Folder, say: "Say") -> None:
        folder.allowed_signers.write_text("what\n")
        words = ("record", "verify", str(record), str(record))
        assert say(*words, "--signers", str(folder.allowed_signers))[0] == 3

    def test_the_bytes_of_a_change_are_told(self, record: Path, say: "Say") -> None:
        size = len(record.read_bytes())
        record.write_bytes(record.read_bytes() + b"xy")
        assert (
            f"the change lies in bytes {size + 1} to {size + 2} of the file"
            in say("record", "verify", str(record))[1]
        )
