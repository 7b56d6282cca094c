"""Beginning an operation and going on with it: the same setup, the same clock, the same board."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.board.fold import fold
from station.clock import AnchoredClock, HandClock
from station.console.desk import stand_in_words
from station.errors import JournalError, Refusal, StorageError, UsageError
from station.events import NoteMade, stamp
from station.journal.memory import MemoryJournal
from station.journal.store import SqliteJournal
from station.operation import begin, begin_on, require_open, resume
from station.setup import Setup, load_setup
from station.watch import Watch

if TYPE_CHECKING:
    from tests.watch.conftest import Machine

Boot = Callable[[str], None]


def close(watch: Watch) -> Watch:
    watch.journal.close()
    return watch


class TestRoundTrip:
    def test_the_board_comes_back(self, begun: Watch, path: Path, machine: "Machine") -> None:
        begun.enter(NoteMade(text="rain", **begun.stamp("tam-belcourt", "timekeeper")))
        close(begun)
        again = close(resume(path, machine))
        assert (again.board, again.entries) == (begun.board, begun.entries)

    def test_the_opening_names_the_files_and_everybody_of_the_station_has_joined(
        self, begun: Watch, setup: Setup
    ) -> None:
        close(begun)
        opened = require_open(begun)
        assert (opened.title, opened.drill, opened.files) == ("Gate survey", False, setup.uses)
        assert list(begun.board.crew) == [one.id for one in setup.station.people]
        assert [use.role for use in opened.files] == [
            *("station", "outfit", "tables", "supply", "cards", "authority")
        ]

    def test_the_setup_is_the_one_of_the_opening_whatever_became_of_the_files(
        self, tmp_path: Path, path: Path, machine: "Machine", boot: Boot
    ) -> None:
        boot("first-run")
        text = """format = "station/1"\nname = "Quay"\nplace = "North steps"\n[files]
            outfit = "outfits/deep-sea.toml"\ntables = "tables/usn-rev7-air.toml"
            supply = "supply/deep-sea-air.toml"\n"""
        station = tmp_path / "station.toml"
        station.write_text(text + "[ages]\ndepth_s = 111\n")
        close(begin(path, load_setup(station), AnchoredClock.started(machine), title="x", program="t"))
        station.write_text(text + "[ages]\ndepth_s = 222\n")
        again = close(resume(path, machine))
        assert again.board.setup.station.ages.depth_s == 111
        station.unlink()
        assert close(resume(path, machine)).board == again.board


class TestOlderJournals:
    @pytest.mark.parametrize("left_out", [("authority",), ("cards",), ("cards", "authority")])
    def test_a_journal_that_names_no_such_file_opens_with_the_shipped_one_and_says_so(
        self, path: Path, begun: Watch, setup: Setup, machine: "Machine", left_out: tuple[str, ...]
    ) -> None:
        begun = older(begun, path, setup, left_out)
        again = close(resume(path, machine))
        mended = again.board.setup
        assert (mended.authorities, mended.cards) == (setup.authorities, setup.cards)
        assert [use.role for use in mended.stand_ins] == list(left_out)
        assert not {use.role for use in mended.uses} & set(left_out)
        said = stand_in_words(again.board)
        assert said.startswith("this journal is older than some files of the program; in use as shipped: ")
        assert all(f"({role})" in said for role in left_out)
        assert again.entries == begun.entries

    def test_a_journal_that_names_them_all_needs_none(
        self, begun: Watch, path: Path, machine: "Machine"
    ) -> None:
        close(begun)
        again = close(resume(path, machine))
        assert again.board.setup.stand_ins == ()
        assert not stand_in_words(again.board)


def older(begun: Watch, path: Path, setup: Setup, left_out: tuple[str, ...]) -> Watch:
    """Write the journal anew as a program would that knew no such files."""
    entries = begun.entries
    close(begun)
    path.unlink()
    journal = SqliteJournal.create(path)
    kept = [(use, data) for use, data in setup.sources if use.role not in left_out]
    for use, data in kept:
        journal.attach(use.name, data)
    opening = require_open(begun).model_copy(update={"files": tuple(use for use, _ in kept)})
    for head, event in enumerate([opening, *(entry.event for entry in entries[1:])]):
        journal.append(event, head)
    begun.entries = journal.read()
    journal.close()
    return begun


class TestClock:
    def test_seats_of_one_run_share_the_anchor(self, begun: Watch, path: Path, machine: "Machine") -> None:
        machine.run(60)
        machine.wall += 3600 * 1_000_000_000
        seat = resume(path, machine)
        assert seat.clock.now() == begun.clock.now()
        assert len(seat.board.anchors) == 1
        close(begun)
        close(seat)

    def test_another_run_of_the_machine_gets_an_anchor_of_its_own(
        self, begun: Watch, path: Path, machine: "Machine", boot: Boot
    ) -> None:
        machine.run(60)
        close(begun)
        boot("second-run")
        machine.counter = 0
        again = resume(path, machine)
        assert [one.boot for one in again.board.anchors] == ["first-run", "second-run"]
        assert again.clock.now() - begun.board.log[0].at == timedelta(seconds=60)
        close(again)
        third = close(resume(path, machine))
        assert len(third.board.anchors) == 2

    def test_the_new_anchor_is_never_before_the_last_entry(
        self, begun: Watch, path: Path, machine: "Machine", boot: Boot
    ) -> None:
        machine.run(600)
        last = begun.enter(NoteMade(text="rain", **begun.stamp("tam-belcourt", "timekeeper"))).event
        close(begun)
        boot("second-run")
        machine.wall, machine.counter = 0, 0
        again = close(resume(path, machine))
        assert again.clock.now() == last.entered
        assert again.board.anchors[-1].at == last.entered

    def test_a_clock_without_an_anchor_enters_none(self, setup: Setup, hand: HandClock) -> None:
        watch = begin_on(MemoryJournal(), setup, hand, title="x", program="t", drill=True)
        assert watch.board.anchors == ()


class TestRefused:
    def test_a_drill_is_not_gone_on_with(self, path: Path, setup: Setup, hand: HandClock) -> None:
        close(begin(path, setup, hand, title="x", program="t", drill=True))
        with pytest.raises(JournalError, match="a drill's journal is not gone on with"):
            resume(path)

    def test_a_journal_without_an_opening(self, path: Path, hand: HandClock) -> None:
        SqliteJournal.create(path).close()
        with pytest.raises(JournalError, match="the first entry is not the opening of an operation"):
            resume(path)
        journal = SqliteJournal.open(path)
        journal.append(NoteMade(text="x", **stamp(hand.now(), "a", "tender")), 0)
        journal.close()
        with pytest.raises(JournalError, match="the first entry is not the opening of an operation"):
            resume(path)

    def test_a_journal_without_one_of_its_files(self, path: Path, begun: Watch) -> None:
        opening = require_open(begun)
        close(begun)
        path.unlink()
        journal = SqliteJournal.create(path)
        journal.append(opening, 0)
        journal.close()
        with pytest.raises(JournalError, match=r"survey\.journal"):
            resume(path)
        path.unlink()
        journal = SqliteJournal.create(path)
        journal.append(opening.model_copy(update={"files": opening.files[:0]}), 0)
        journal.close()
        with pytest.raises(JournalError, match="names no file for: station, outfit, tables, supply"):
            resume(path)

    def test_an_attached_file_that_this_program_cannot_use(
        self, path: Path, begun: Watch, setup: Setup
    ) -> None:
        opening = require_open(begun)
        close(begun)
        path.unlink()
        journal = SqliteJournal.create(path)
        for use, data in setup.sources:
            journal.attach(use.name, data)
        odd = journal.attach("station.toml", b'format = "station/9"\n')
        use = opening.files[0].model_copy(update={"sha256": odd})
        journal.append(opening.model_copy(update={"files": (use, *opening.files[1:])}), 0)
        journal.close()
        with pytest.raises(JournalError, match="a file attached to it does not pass the checks"):
            resume(path)

    def test_no_journal(self, path: Path) -> None:
        with pytest.raises(JournalError, match="no such file"):
            resume(path)

    @pytest.mark.parametrize("title", ["", "   ", "x" * 81])
    def test_a_title_that_will_not_do_leaves_no_file(
        self, path: Path, setup: Setup, hand: HandClock, title: str
    ) -> None:
        with pytest.raises(UsageError, match="the title of the operation: string should have at"):
            begin(path, setup, hand, title=title, program="t")
        assert not path.exists()

    def test_a_beginning_that_fails_half_way_leaves_no_file(
        self, path: Path, setup: Setup, hand: HandClock, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def full(*_: object, **_options: object) -> None:
            raise StorageError("the disk is full")

        monkeypatch.setattr(SqliteJournal, "append", full)
        with pytest.raises(StorageError):
            begin(path, setup, hand, title="x", program="t")
        assert list(path.parent.iterdir()) == []

    def test_a_taken_name_is_left_alone(
        self, path: Path, begun: Watch, setup: Setup, hand: HandClock
    ) -> None:
        close(begun)
        with pytest.raises(JournalError):
            begin(path, setup, hand, title="x", program="t")
        assert require_open(close(resume(path))).title == "Gate survey"

    def test_nothing_is_open_before_the_opening(self, setup: Setup, hand: HandClock) -> None:
        watch = Watch(MemoryJournal(), setup, hand)
        assert watch.board == fold(setup, [])
        with pytest.raises(Refusal, match="no operation is open on this journal"):
            require_open(watch)
