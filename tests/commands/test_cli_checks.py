"""`station tables check`, `config check`, `journal check`: what passes, and the first thing that does not."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station import shipped as shipped_module
from station.clock import HandClock
from station.commands import check
from station.operation import begin
from station.setup import load_setup
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.commands.conftest import Ran

Run = Callable[..., "Ran"]
TABLES = shipped("configs") / "tables" / "usn-rev7-air.toml"
FILES = [*shipped("configs").rglob("*.toml"), *shipped("demo").rglob("*.toml")]


class TestTables:
    def test_the_shipped_one_passes_and_names_every_check(self, run: Run) -> None:
        ran = run("tables", "check")
        assert (ran.code, ran.err) == (0, "")
        assert f"{TABLES}: passes" in ran.out
        assert "printed exception, declared in the file: 170/180, oxygen total" in ran.out
        assert ran.out.count("\n") > 10

    def test_a_wrong_stop_is_named_with_its_row(self, run: Run, tmp_path: Path) -> None:
        """Row 110/35 prints 27 min at 20 fsw and a total of 30:40."""
        text = TABLES.read_text()
        row = next(line for line in text.split("\n") if "depth = 110" in line and "time = 35" in line)
        copy = tmp_path / "copy.toml"
        copy.write_text(text.replace(row, row.replace("27", "28", 1)))
        ran = run("tables", "check", str(copy))
        assert (ran.code, ran.out) == (3, "")
        assert f"station: file: {copy}: " in ran.err
        assert "110/35" in ran.err

    def test_a_missing_file_and_a_folder(self, run: Run, tmp_path: Path) -> None:
        ran = run("tables", "check", str(tmp_path / "none.toml"))
        assert (ran.code, ran.err) == (3, f"station: file: {tmp_path / 'none.toml'}: no such file\n")
        ran = run("tables", "check", str(tmp_path))
        assert (ran.code, ran.err) == (3, f"station: file: {tmp_path}: cannot be read: Is a directory\n")


class TestConfig:
    @pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
    def test_each_shipped_file_passes(self, run: Run, path: Path) -> None:
        ran = run("config", "check", str(path))
        assert (ran.code, ran.err) == (0, "")
        assert ran.out.startswith(f"{path}: passes as ")

    def test_all_of_them_at_once(self, run: Run) -> None:
        ran = run("config", "check")
        assert (ran.code, ran.out.count(": passes as ")) == (0, len(FILES))

    def test_all_of_them_are_looked_at_even_when_one_fails(
        self, run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        for kind in ("configs", "demo"):
            (tmp_path / kind).mkdir()
        (tmp_path / "configs" / "a.toml").write_text("=")
        (tmp_path / "demo" / "b.toml").write_text('format = "scenario/1"\n')
        (tmp_path / "demo" / "tables.toml").write_text(TABLES.read_text())
        monkeypatch.setattr(shipped_module, "_HERE", tmp_path / "station")
        ran = run("config", "check")
        assert ran.code == 3
        assert "a.toml: not valid TOML" in ran.out
        assert "b.toml: title: missing" in ran.out
        assert "tables.toml: passes as table file" in ran.out
        assert ran.err == f"station: file: {tmp_path / 'configs'}: 2 of 3 files do not pass\n"

    @pytest.mark.parametrize(
        ("text", "said"),
        [
            ("x = 1", "format: tells no kind of file that is known here: station file, scenario file"),
            ("x = ", "not valid TOML"),
            ('format = "station/1"', "place: missing; this key is required"),
            ('format = "supply/1"', "name: missing; this key is required"),
            ('format = "scenario/1"', "story: missing; this key is required"),
            ("schedules = 3", "schedules: "),
            ("pieces = 3\nsteps = 4", "steps: "),
        ],
    )
    def test_a_broken_file_is_named_with_key_and_reason(
        self, run: Run, tmp_path: Path, text: str, said: str
    ) -> None:
        path = tmp_path / "x.toml"
        path.write_text(text)
        ran = run("config", "check", str(path))
        assert (ran.code, ran.out) == (3, "")
        assert ran.err.startswith(f"station: file: {path}: ")
        assert said in ran.err

    def test_bytes_that_are_no_text(self, run: Run, tmp_path: Path) -> None:
        path = tmp_path / "x.toml"
        path.write_bytes(b"\xff\xfe")
        assert run("config", "check", str(path)).err == f"station: file: {path}: not UTF-8 text (byte 1)\n"

    def test_a_circle_in_the_order_of_dressing_is_named(self, run: Run, tmp_path: Path) -> None:
        text = (shipped("configs") / "outfits" / "deep-sea.toml").read_text()
        first = 'id = "dress-on"'
        assert first in text
        head, tail = text.split(first, 1)
        path = tmp_path / "circle.toml"
        path.write_text(head + first + tail.replace("needs = [", 'needs = ["helmet-on", ', 1))
        ran = run("config", "check", str(path))
        assert ran.code == 3
        assert "circle" in ran.err
        assert "dress-on" in ran.err


class TestJournal:
    @pytest.fixture
    def path(self, tmp_path: Path) -> Path:
        path = tmp_path / "survey.journal"
        clock = HandClock(datetime(2031, 6, 3, 6, 0, tzinfo=UTC))
        begin(path, load_setup(), clock, title="Survey", program="test").journal.close()
        return path

    def test_a_sound_one(self, run: Run, path: Path) -> None:
        ran = run("journal", "check", str(path))
        assert (ran.code, ran.err) == (0, "")
        lines = ran.out.split("\n")
        assert lines[0] == f"{path}: sound"
        assert lines[1] == "  1 entries, chained without a gap; 6 files attached"
        assert len(lines[2]) == len("  head ") + 64

    def test_a_changed_one(self, run: Run, path: Path) -> None:
        with closing(sqlite3.connect(path, isolation_level=None)) as connection:
            query = "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'"
            guards = dict(connection.execute(query).fetchall())
            for name in guards:
                connection.execute(f"DROP TRIGGER {name}")
            connection.execute("UPDATE entry SET body = replace(body, 'Survey', 'Surway')")
            for sql in guards.values():
                connection.execute(sql)
        ran = run("journal", "check", str(path))
        assert ran.code == 4
        assert f"station: journal: {path}: entry 1 was changed after it was written" in ran.err

    def test_a_missing_a_foreign_and_a_damaged_one(self, run: Run, path: Path, tmp_path: Path) -> None:
        other = tmp_path / "other.journal"
        assert run("journal", "check", str(other)).code == 4
        other.write_bytes(b"not a journal" * 100)
        ran = run("journal", "check", str(other))
        assert (ran.code, "not a journal" in ran.err) == (4, True)
        other.unlink()
        with closing(sqlite3.connect(other)) as connection:
            connection.execute("CREATE TABLE x(y)")
        ran = run("journal", "check", str(other))
        assert (ran.code, "an SQLite file of another program" in ran.err) == (4, True)
        path.write_bytes(path.read_bytes()[:5000])
        ran = run("journal", "check", str(path))
        assert (ran.code, ran.out) == (4, "")

    def test_progress_is_told_at_a_terminal_and_only_there(
        self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
    ) -> None:
        check._progress(50, 100)
        assert capsys.readouterr().err == ""
        monkeypatch.setattr("sys.stderr.isatty", lambda: True)
        for done in range(1, 101):
            check._progress(done, 100)
        said = capsys.readouterr().err
        assert said.count("\r") == check.STEPS
        assert said.endswith("100 of 100 entries\n")
