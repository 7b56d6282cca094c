"""The folder a station keeps its files in."""

import os
import stat
from datetime import UTC, datetime
from pathlib import Path

import platformdirs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from station.errors import StorageError
from station.folder import VARIABLE, Folder, choose_folder, person_id, slug, unused

NOON = datetime(2031, 5, 4, 12, 0, 5, tzinfo=UTC)


class TestChoosing:
    def test_the_one_named_comes_first(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv(VARIABLE, "/srv/other")
        assert choose_folder("/srv/named").path == Path("/srv/named")

    def test_then_the_environment(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv(VARIABLE, "/srv/other")
        assert choose_folder(None).path == Path("/srv/other")

    def test_then_the_platform_s_own(self, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
        def own(name: str, *, appauthor: bool) -> Path:
            assert not appauthor
            return tmp_path / name

        monkeypatch.setattr(platformdirs, "user_data_path", own)
        monkeypatch.delenv(VARIABLE, raising=False)
        assert choose_folder(None).path == tmp_path / "dive-station-console"
        monkeypatch.setenv(VARIABLE, "")
        assert choose_folder(None).path == tmp_path / "dive-station-console"

    def test_a_tilde_is_the_home_folder(self, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("HOME", "/home/mara")
        assert choose_folder("~/station").path == Path("/home/mara/station")

    def test_a_tilde_of_nobody_is_told(self) -> None:
        with pytest.raises(StorageError, match="no such person has a home folder here"):
            choose_folder("~nobody-of-this-name/station")


class TestPreparing:
    def test_makes_what_is_missing_and_closes_the_keys_to_others(self, tmp_path: Path) -> None:
        folder = Folder(tmp_path / "a" / "b").prepare().prepare()
        assert {one.name for one in folder.path.iterdir()} == {"journals", "records", "keys"}
        assert stat.S_IMODE(folder.keys.stat().st_mode) == 0o700
        assert folder.allowed_signers.parent == folder.path

    def test_a_file_in_the_way_is_told(self, tmp_path: Path) -> None:
        (tmp_path / "file").write_text("x")
        for name, why in (("file", "Not a directory"), ("file/deeper", "Not a directory")):
            with pytest.raises(StorageError, match=f"cannot be used as the station's folder: {why}"):
                Folder(tmp_path / name).prepare()

    def test_a_name_no_folder_can_have_is_told(self) -> None:
        with pytest.raises(StorageError, match="cannot be used as the station's folder"):
            Folder(Path("nul\0")).prepare()

    @pytest.mark.skipif(not Path("/proc/self").is_dir(), reason="needs a place nobody can write to: /proc")
    def test_a_place_that_cannot_be_written_is_told(self) -> None:
        with pytest.raises(StorageError, match="/proc/station: cannot be used as the station's folder"):
            Folder(Path("/proc/station")).prepare()


class TestNames:
    def test_a_new_journal_never_has_a_name_that_is_taken(self, tmp_path: Path) -> None:
        folder = Folder(tmp_path).prepare()
        names = []
        for _ in range(3):
            path = folder.new_journal("Gate survey, east!", NOON)
            path.touch()
            names.append(path.name)
        assert names == [
            "2031-05-04-gate-survey-east.journal",
            "2031-05-04-gate-survey-east-2.journal",
            "2031-05-04-gate-survey-east-3.journal",
        ]

    def test_the_latest_journal_is_the_one_written_to_last(self, tmp_path: Path) -> None:
        folder = Folder(tmp_path).prepare()
        assert folder.latest_journal() is None
        for name, age in (("b", 10), ("a", 5), ("c", 20)):
            path = folder.journals / f"{name}.journal"
            path.touch()
            os.utime(path, (NOON.timestamp() - age, NOON.timestamp() - age))
        (folder.journals / "z.txt").touch()
        latest = folder.latest_journal()
        assert latest is not None
        assert latest.name == "a.journal"

    def test_each_drill_has_a_folder_of_its_own(self, tmp_path: Path) -> None:
        first = Folder(tmp_path).drill("Gate", NOON).prepare()
        second = Folder(tmp_path).drill("Gate", NOON)
        assert first.path == tmp_path / "drills" / "2031-05-04-120005-gate"
        assert second.path == tmp_path / "drills" / "2031-05-04-120005-gate-2"

    @pytest.mark.parametrize(
        ("words", "name"),
        [
            ("Gate survey", "gate-survey"),
            ("../../etc/passwd", "etc-passwd"),
            ("Überlauf", "berlauf"),
            ("", "operation"),
            ("???", "operation"),
            ("a" * 50, "a" * 40),
            (("a" * 39) + " b", "a" * 39),
        ],
    )
    def test_words_become_a_plain_name(self, words: str, name: str) -> None:
        assert slug(words) == name

    @pytest.mark.parametrize(
        ("name", "known_by"),
        [
            ("Ines Oyelaran", "ines-oyelaran"),
            ("  O'Neil,  Ada 2 ", "o-neil-ada-2"),
            ("Zoë Ångström", "zoe-angstrom"),
            # RFC 3492, section 7.1 (L), Japanese: the coded form there, in small letters.
            ("3年B組金八先生", "3b-ww4c5e180e575a65lsy2b"),
            ("???", ""),
            ("", ""),
        ],
    )
    def test_a_person_is_known_by_the_name_alone(self, name: str, known_by: str) -> None:
        assert person_id(name) == known_by
        assert not known_by or slug(known_by) == known_by

    @given(
        st.lists(
            st.text("αβγδεέζηθабвгдейёかが", min_size=2, max_size=9), min_size=2, max_size=9, unique=True
        )
    )
    def test_names_in_other_letters_have_ids_of_their_own(self, names: list[str]) -> None:
        assert len({person_id(name) for name in names}) == len(names)

    def test_an_unused_path_is_taken_as_it_is(self, tmp_path: Path) -> None:
        assert unused(tmp_path / "x.toml") == tmp_path / "x.toml"
