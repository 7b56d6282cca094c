"""Records of another station: taken whole or not at all, nothing overwritten, nothing trusted by itself."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from made_records import Made, Maker, varied

from station.cli import main
from station.errors import StorageError
from station.folder import Folder
from station.shelf.bring import PART, Brought, bring, place
from station.shelf.earlier import signers_of
from station.shelf.shelf import Shelf


@pytest.fixture
def other(tmp_path: Path) -> Path:
    found = tmp_path / "other"
    found.mkdir()
    return found


def brought(folder: Folder, other: Path, *, dry_run: bool = False) -> dict[str, Brought]:
    listed = signers_of(folder)
    with Shelf.open(folder.records, listed, tell=pytest.fail, in_memory=dry_run) as shelf:
        return {one.name: one for one in bring(shelf, other, listed, dry_run=dry_run)}


def files(folder: Folder) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.records.glob("[!.]*")}


def test_new_sound_records_are_copied_byte_for_byte(filled: Folder, other: Path, maker: Maker) -> None:
    before = files(filled)
    path = maker.put(other, varied(40))
    (other / "readme.txt").write_text("no record", encoding="utf-8")
    found = brought(filled, other)
    assert {name: one.what for name, one in found.items()} == {path.name: "taken"}
    assert files(filled) == {**before, path.name: path.read_bytes()}
    assert brought(filled, other)[path.name].what == "duplicate"


def test_duplicates_are_named(filled: Folder, other: Path, maker: Maker) -> None:
    before = files(filled)
    first = varied(1)
    maker.put(other, first)
    maker.put(other, first, "other-name.toml")
    (other / "half.toml").write_bytes(maker.record(first, roles=("timekeeper",)))
    (other / "first.toml").write_bytes(maker.record(varied(50)))
    (other / "second.toml").write_bytes(maker.record(varied(50)))
    found = brought(filled, other)
    assert {name: (one.what, one.here) for name, one in found.items()} == {
        first.name: ("duplicate", first.name),
        "other-name.toml": ("duplicate", first.name),
        "half.toml": ("duplicate", first.name),
        "first.toml": ("taken", ""),
        "second.toml": ("duplicate", "first.toml"),
    }
    assert "the same bytes stand here under this name" in found[first.name].why
    assert f"the same bytes stand here as {first.name}" in found["other-name.toml"].why
    assert "2 signatures that hold; this file has 1 signature that holds" in found["half.toml"].why
    assert files(filled).keys() == {*before, "first.toml"}


def test_conflicts_are_named_and_nothing_is_overwritten(filled: Folder, other: Path, maker: Maker) -> None:
    before = files(filled)
    first, second = varied(1), varied(2)
    maker.put(other, first.later(days=400), first.name)
    changed = Made(diver="elsewhere", diver_name=second.diver_name.upper(), started=second.started)
    maker.put(other, changed.later(minutes=20), "overlap.toml")
    maker.put(other, changed.later(minutes=60), "after.toml")
    found = brought(filled, other)
    assert {name: (one.what, one.here) for name, one in found.items()} == {
        first.name: ("conflict", first.name),
        "overlap.toml": ("conflict", second.name),
        "after.toml": ("taken", ""),
    }
    assert "another file stands here under this name" in found[first.name].why
    assert "otherwise of the same diver at the same time (sound)" in found["overlap.toml"].why
    after = files(filled)
    assert after.pop("after.toml")
    assert after == before


def test_a_drill_is_no_conflict_of_a_dive(filled: Folder, other: Path, maker: Maker) -> None:
    second = varied(2)
    maker.put(other, Made(diver=second.diver, started=second.started, drill=True), "drill.toml")
    assert brought(filled, other)["drill.toml"].what == "taken"


def test_what_is_not_sound_stays_where_it_is(filled: Folder, other: Path, maker: Maker) -> None:
    before = files(filled)
    path = maker.put(other, varied(40))
    path.write_bytes(path.read_bytes().replace(b"calm", b"mild", 1))
    (other / "unsigned.toml").write_bytes(maker.record(varied(41), roles=("timekeeper",)))
    (other / "note.toml").write_bytes(b"x = 1\n")
    (other / "gone.toml").symlink_to(other / "nowhere")
    found = brought(filled, other)
    assert {one.what for one in found.values()} == {"not taken"}
    assert found[path.name].why.startswith("altered or damaged: ")
    assert found["unsigned.toml"].why.startswith("not yet signed: ")
    assert found["note.toml"].why.startswith("not a record: ")
    assert found["gone.toml"].why == "no such file"
    assert files(filled) == before


def test_the_other_list_is_not_believed(filled: Folder, other: Path, maker: Maker) -> None:
    """Its own list beside the records changes nothing; whoever is unlisted is named with the line to add."""
    before = files(filled)
    stranger = Maker(maker.template)
    stranger.put(other, varied(40))
    (other.parent / "allowed_signers").write_text(stranger.list_of_signers(), encoding="utf-8")
    (one,) = brought(filled, other).values()
    assert (one.what, files(filled)) == ("not taken", before)
    assert one.why.startswith("signed by someone not listed: ")
    assert [found.line for found in one.strangers] == [line.line() for line in stranger.lines()]
    assert [found.fingerprint for found in one.strangers] == [
        stranger.timekeeper.fingerprint,
        stranger.supervisor.fingerprint,
    ]


def test_a_trial_changes_nothing(filled: Folder, other: Path, maker: Maker) -> None:
    with Shelf.open(filled.records, signers_of(filled), tell=pytest.fail):
        pass
    before = {path.name: path.read_bytes() for path in filled.records.iterdir()}
    maker.put(other, varied(40), "first.toml")
    maker.put(other, varied(40), "second.toml")
    found = brought(filled, other, dry_run=True)
    assert {name: one.what for name, one in found.items()} == {
        "first.toml": "taken",
        "second.toml": "duplicate",
    }
    assert {path.name: path.read_bytes() for path in filled.records.iterdir()} == before


def test_a_station_does_not_import_itself(filled: Folder) -> None:
    with pytest.raises(StorageError, match="is the shelf itself"):
        brought(filled, filled.records)


def test_an_import_that_is_killed_leaves_whole_files_only(filled: Folder, other: Path, maker: Maker) -> None:
    """Killed between the last byte and the name: what is left is hidden, and swept away by the next one."""
    before = files(filled)
    maker.put(other, varied(40), "new.toml")
    script = (
        "import os, pathlib, sys\n"
        "from station.shelf import bring\n"
        "bring._name = lambda part, path: os._exit(9)\n"
        "bring.place(pathlib.Path(sys.argv[1]), b'half')\n"
    )
    run = subprocess.run([sys.executable, "-c", script, str(filled.records / "new.toml")], check=False)
    assert run.returncode == 9
    assert len(list(filled.records.glob(f"{PART}*"))) == 1
    assert files(filled) == before
    assert brought(filled, other)["new.toml"].what == "taken"
    assert list(filled.records.glob(f"{PART}*")) == []
    assert files(filled)["new.toml"] == (other / "new.toml").read_bytes()


def test_a_copy_that_cannot_be_written_in_full_is_no_copy(
    folder: Folder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("station.shelf.bring.os.fsync", full)
    with pytest.raises(StorageError, match="No space left on device"):
        place(folder.records / "new.toml", b"x")
    assert list(folder.records.iterdir()) == []


@pytest.mark.parametrize("links", [True, False])
def test_a_name_that_is_taken_meanwhile_is_kept(
    folder: Folder, monkeypatch: pytest.MonkeyPatch, *, links: bool
) -> None:
    def no_links(_path: Path, _target: Path) -> None:
        raise OSError(1, "Operation not permitted")

    if not links:
        monkeypatch.setattr(Path, "hardlink_to", no_links)
    place(folder.records / "new.toml", b"first")
    with pytest.raises(StorageError, match="exists already and is not overwritten"):
        place(folder.records / "new.toml", b"second")
    assert files(folder) == {"new.toml": b"first"}


def test_the_command(
    filled: Folder, other: Path, maker: Maker, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    command = ["shelf", "import", str(other), "--folder", str(filled.path)]
    stranger = Maker(maker.template)
    path = stranger.put(other, varied(40))
    assert main(command) == 6
    out = capsys.readouterr().out
    assert f"not taken  {path.name}" in out
    assert stranger.supervisor.fingerprint in out
    assert all(line.line() in out for line in stranger.lines())
    theirs = tmp_path / "theirs"
    theirs.write_text(stranger.list_of_signers(), encoding="utf-8")
    assert main([*command, "--signers", str(theirs), "--dry-run", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["dry_run"], found["summary"]["taken"], path.name in files(filled)) == (True, 1, False)
    assert main([*command, "--signers", str(theirs)]) == 0
    assert "but signed by someone not listed by this station's" in " ".join(capsys.readouterr().out.split())
    assert path.name in files(filled)
    assert main(command) == 0
    assert "duplicate" in capsys.readouterr().out
