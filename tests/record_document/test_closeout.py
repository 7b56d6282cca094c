"""Writing and signing the record: once, by those who may, and whole again after a crash between two steps."""

import hashlib
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.closeout import enter_signatures, file_key, make_key, sign_record, write_record
from station.errors import FileError, KeyFileError, RecordError, Refusal, StorageError
from station.events import DiveClosed, EntryWithdrawn, Event, NoteMade, RecordSigned, Role
from station.folder import Folder
from station.journal.interface import Entry
from station.record.verify import Status, Verdict
from station.watch import Watch

if TYPE_CHECKING:
    from tests.record_document.conftest import Begin, Drill

SECRET = "correct horse"
NAME = "2031-05-04-gate-survey-ossary-dam-lane1.toml"


@pytest.fixture
def empty(tmp_path: Path) -> Folder:
    return Folder(tmp_path / "empty").prepare()


@pytest.fixture
def folder(tmp_path: Path, keyed: Folder) -> Folder:
    """Return a folder with a key for everybody."""
    shutil.copytree(keyed.path, tmp_path / "station")
    return Folder(tmp_path / "station").prepare()


@pytest.fixture
def closed(surveyed: "Drill") -> "Drill":
    return surveyed.play()


def sign(
    drill: "Drill", path: Path, folder: Folder, person: str = "tam-belcourt", role: Role = "timekeeper"
) -> Verdict:
    if not (folder.keys / person).exists():
        make_key(folder, person, (role,), SECRET)
    return sign_record(drill.watch, 1, path, folder, person, role, file_key(folder, person, SECRET))


def entered(drill: "Drill") -> list[RecordSigned]:
    return [entry.event for entry in drill.watch.entries if isinstance(entry.event, RecordSigned)]


def test_a_record_is_written_once_under_a_name_that_tells_the_dive(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    assert path == folder.records / NAME
    assert path.read_bytes() == closed.body()
    assert write_record(closed.watch, 1, folder) == path
    assert list(folder.records.iterdir()) == [path]


def test_a_dive_that_is_not_closed_gets_no_record(surveyed: "Drill", folder: Folder) -> None:
    with pytest.raises(RecordError, match="not closed"):
        write_record(surveyed.watch, 1, folder)
    assert list(folder.records.iterdir()) == []


def test_a_name_that_another_dive_has_is_left_to_it(closed: "Drill", folder: Folder) -> None:
    (folder.records / NAME).write_text("another dive's\n")
    path = write_record(closed.watch, 1, folder)
    assert path == folder.records / NAME.replace(".toml", "-2.toml")
    assert (folder.records / NAME).read_text() == "another dive's\n"
    assert write_record(closed.watch, 1, folder) == path


def test_a_dive_closed_anew_gets_a_record_of_its_own(closed: "Drill", folder: Folder) -> None:
    stale = write_record(closed.watch, 1, folder)
    closed.enter(EntryWithdrawn, target=closed.last("dive.closed").id, reason="too early")
    closed.enter(DiveClosed, lane=1, condition_after="Well")
    path = write_record(closed.watch, 1, folder)
    assert path != stale
    with pytest.raises(RecordError, match="not what the journal says of lane 1"):
        sign(closed, stale, folder)


def test_a_folder_that_is_gone_is_a_storage_error(closed: "Drill", tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="its folder does not exist"):
        write_record(closed.watch, 1, Folder(tmp_path / "nowhere"))


def test_two_signatures_make_a_sound_record_and_stand_on_the_journal(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    first = sign(closed, path, folder)
    after_first = hashlib.sha256(path.read_bytes()).hexdigest()
    assert (first.status, first.missing) == (Status.UNSIGNED, ("supervisor",))
    second = sign(closed, path, folder, "ines-oyelaran", "supervisor")
    assert (second.status, second.drill) == (Status.SOUND, True)
    assert [one.listed for one in second.signatures] == [True, True]
    assert [(one.person, one.role, one.file) for one in entered(closed)] == [
        ("tam-belcourt", "timekeeper", NAME),
        ("ines-oyelaran", "supervisor", NAME),
    ]
    assert [one.sha256 for one in entered(closed)] == [after_first, second.sha256]
    assert [one.by for one in entered(closed)] == ["tam-belcourt", "ines-oyelaran"]
    assert write_record(closed.watch, 1, folder) == path


def test_a_signature_says_what_it_means_and_that_it_is_of_a_drill(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    said = sign(closed, path, folder).signatures[0].statement
    assert (said.name, said.role, said.at) == ("Tam Belcourt", "timekeeper", closed.clock.now())
    assert said.meaning == (
        "DRILL, nobody was in the water: I kept the times of this dive; times, depths and pressures stand "
        "here as I took them."
    )


def test_a_real_dive_is_signed_as_one(begin: "Begin", folder: Folder) -> None:
    drill = begin("gate-survey.toml", drill=False).play()
    verdict = sign(drill, write_record(drill.watch, 1, folder), folder)
    assert "DRILL" not in verdict.signatures[0].statement.meaning
    assert verdict.drill is False


class Crash(BaseException):
    """The machine stops."""


@pytest.fixture
def crashed(closed: "Drill", folder: Folder, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A record that was signed by the timekeeper when the machine stopped, before the journal was told."""

    def enter(event: Event) -> Entry:
        raise Crash(event.kind)

    path = write_record(closed.watch, 1, folder)
    with monkeypatch.context() as patch:
        patch.setattr(closed.watch, "enter", enter)
        with pytest.raises(Crash):
            sign(closed, path, folder)
    return path


def test_a_crash_between_signature_and_entry_is_made_good_by_signing_again(
    closed: "Drill", folder: Folder, crashed: Path
) -> None:
    signed = crashed.read_bytes()
    assert entered(closed) == []
    assert sign(closed, crashed, folder).missing == ("supervisor",)
    assert crashed.read_bytes() == signed
    assert [one.sha256 for one in entered(closed)] == [hashlib.sha256(signed).hexdigest()]


def test_the_entry_made_good_names_the_file_as_it_was_signed_then(
    closed: "Drill", folder: Folder, crashed: Path
) -> None:
    then = hashlib.sha256(crashed.read_bytes()).hexdigest()
    assert sign(closed, crashed, folder, "ines-oyelaran", "supervisor").sound
    assert [(one.role, one.sha256 == then) for one in entered(closed)] == [
        ("timekeeper", True),
        ("supervisor", False),
    ]
    assert enter_signatures(closed.watch, 1, crashed, folder) == ()


def test_nobody_signs_twice_in_one_role(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    sign(closed, path, folder)
    before = path.read_bytes()
    with pytest.raises(RecordError, match="tam-belcourt has signed this record as timekeeper already"):
        sign(closed, path, folder)
    assert path.read_bytes() == before
    assert len(entered(closed)) == 1


def test_a_role_not_held_on_the_board_is_refused(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    with pytest.raises(Refusal, match="Tam Belcourt is not supervisor at this station"):
        sign(closed, path, folder, "tam-belcourt", "supervisor")
    assert path.read_bytes() == closed.body()


def test_a_lane_not_closed_is_not_signed(surveyed: "Drill", folder: Folder, tmp_path: Path) -> None:
    with pytest.raises(Refusal, match="lane 1 is not closed yet"):
        sign(surveyed, tmp_path / "x.toml", folder)


def test_a_body_changed_before_it_was_signed_is_not_signed(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    changed = path.read_bytes().replace(b"bottom_time_min = 34", b"bottom_time_min = 33")
    path.write_bytes(changed)
    with pytest.raises(RecordError, match="is not what the journal says of lane 1; it was not signed"):
        sign(closed, path, folder)
    assert path.read_bytes() == changed


def test_a_signed_record_changed_on_the_disk_is_told(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    sign(closed, path, folder)
    path.write_bytes(path.read_bytes().replace(b"bottom_time_min = 34", b"bottom_time_min = 33"))
    with pytest.raises(StorageError, match="was signed, and is no longer what the journal says"):
        write_record(closed.watch, 1, folder)


def test_a_signed_record_gone_from_the_disk_is_told(closed: "Drill", folder: Folder) -> None:
    path = write_record(closed.watch, 1, folder)
    sign(closed, path, folder)
    path.unlink()
    with pytest.raises(FileError):
        write_record(closed.watch, 1, folder)


def test_a_key_that_is_not_listed_does_not_sign_and_the_line_to_add_is_told(
    closed: "Drill", empty: Folder
) -> None:
    path = write_record(closed.watch, 1, empty)
    make_key(empty, "tam-belcourt", ("diver",), SECRET)
    with pytest.raises(KeyFileError, match="may sign as tam-belcourt:diver") as caught:
        sign(closed, path, empty)
    line = caught.value.message.split("adds this line: ")[1]
    with empty.allowed_signers.open("a") as file:
        file.write(f"{line}\n")
    assert sign(closed, path, empty).signatures[0].listed


def test_without_a_list_nobody_signs(closed: "Drill", empty: Folder) -> None:
    path = write_record(closed.watch, 1, empty)
    make_key(empty, "tam-belcourt", ("timekeeper",), SECRET)
    empty.allowed_signers.unlink()
    with pytest.raises(KeyFileError, match="is not on the list of allowed signers"):
        sign(closed, path, empty)
    assert path.read_bytes() == closed.body()


def test_a_wrong_passphrase_and_a_missing_key_sign_nothing(closed: "Drill", empty: Folder) -> None:
    path = write_record(closed.watch, 1, empty)
    with pytest.raises(KeyFileError, match="no such key file"):
        file_key(empty, "tam-belcourt", SECRET)
    make_key(empty, "tam-belcourt", ("timekeeper",), SECRET)
    with pytest.raises(KeyFileError, match="passphrase is wrong"):
        file_key(empty, "tam-belcourt", "wrong horse")
    assert path.read_bytes() == closed.body()
    assert entered(closed) == []


def test_a_key_is_made_for_its_owner_and_listed(empty: Folder) -> None:
    made = make_key(empty, "ines-oyelaran", ("supervisor",), SECRET)
    assert made.path == empty.keys / "ines-oyelaran"
    assert made.path.stat().st_mode & 0o777 == 0o600
    assert empty.allowed_signers.read_text().startswith("ines-oyelaran:supervisor namespaces=")
    with pytest.raises(StorageError, match="exists already"):
        make_key(empty, "ines-oyelaran", ("supervisor",), SECRET)


def test_another_seats_entries_are_read_before_the_record_is_written(begin: "Begin", folder: Folder) -> None:
    """The closing entered at one seat is enough for another to write and sign the record."""
    drill = begin("gate-survey.toml").play("dive.closed")
    other = Watch(drill.watch.journal, drill.watch.board.setup, drill.clock)
    drill.enter(NoteMade, text="Both seats see this.")
    drill.play()
    assert write_record(other, 1, folder).read_bytes() == drill.body()
