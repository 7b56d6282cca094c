"""The shipped drills, played on a journal in memory, and records made from them."""

import io
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

import pytest

from station.cli import main
from station.clock import HandClock
from station.closeout import make_key
from station.drill.player import Player
from station.drill.scenario import load_scenario
from station.events import Event, Role, Seat
from station.folder import Folder
from station.journal.interface import Entry
from station.journal.memory import MemoryJournal
from station.operation import begin_on
from station.record import keys, signers, signing
from station.record.document import build
from station.record.signed import Declaration
from station.setup import Setup, load_setup
from station.shipped import shipped
from station.watch import Watch

DEMO = shipped("demo") / "ossary-dam"
ROLES = (
    ("tam-belcourt", "timekeeper", keys.new_key()),
    ("ines-oyelaran", "supervisor", keys.new_key()),
)


@dataclass
class Drill:
    """A scripted dive under way, into which a test may put entries of its own."""

    watch: Watch
    player: Player
    clock: HandClock

    def play(self, until: str = "") -> "Drill":
        """Play on, up to but without the first entry of that kind or mark; to the end when none is named."""
        while (due := self.player.due) is not None:
            if until and until in {due.fields["kind"], due.fields.get("mark")}:
                return self
            self.player.play_next(self.clock)
        return self

    def enter(
        self, kind: type[Event], by: str = "ines-oyelaran", seat: Seat = "supervisor", **own: Any
    ) -> Entry:
        self.clock.advance(1)
        return self.watch.enter(kind(**own, **self.watch.stamp(by, seat)))

    def last(self, kind: str) -> Event:
        return next(entry.event for entry in reversed(self.watch.entries) if entry.event.kind == kind)

    def body(self, lane: int = 1) -> bytes:
        return build(self.watch.entries, lane, self.watch.board.setup)


class Begin(Protocol):
    def __call__(
        self,
        name: str,
        *swaps: tuple[str, str],
        drill: bool = True,
        watch: Watch | None = None,
        notes_alarms: bool = False,
    ) -> Drill: ...


@pytest.fixture(scope="session")
def setup() -> Setup:
    return load_setup(DEMO / "station.toml")


@pytest.fixture
def begin(tmp_path: Path, setup: Setup) -> Begin:
    """Begin a shipped scenario, with words of it replaced, on a new watch or behind another on the same."""

    def make(
        name: str,
        *swaps: tuple[str, str],
        drill: bool = True,
        watch: Watch | None = None,
        notes_alarms: bool = False,
    ) -> Drill:
        text = (DEMO / name).read_text(encoding="utf-8")
        for old, new in swaps:
            assert old in text
            text = text.replace(old, new)
        (tmp_path / "station.toml").write_bytes((DEMO / "station.toml").read_bytes())
        (tmp_path / name).write_text(text, encoding="utf-8")
        scenario = load_scenario(tmp_path / name)
        clock = HandClock(scenario.file.start)
        title = scenario.file.title
        if watch is None:
            watch = begin_on(MemoryJournal(), setup, clock, title=title, program="station 1.0", drill=drill)
        watch.clock = clock
        return Drill(watch, Player(watch, scenario, notes_alarms=notes_alarms), clock)

    return make


@pytest.fixture
def survey(begin: Begin) -> Drill:
    """The decompression dive, not yet begun."""
    return begin("gate-survey.toml")


@pytest.fixture(scope="session")
def played(setup: Setup) -> Drill:
    """The decompression dive, played to its end; not to be written to."""
    scenario = load_scenario(DEMO / "gate-survey.toml")
    clock, title = HandClock(scenario.file.start), scenario.file.title
    watch = begin_on(MemoryJournal(), setup, clock, title=title, program="station 1.0", drill=True)
    return Drill(watch, Player(watch, scenario), clock).play()


@pytest.fixture(scope="session")
def survey_body(played: Drill) -> bytes:
    """The record of the decompression dive, unsigned."""
    return played.body()


@pytest.fixture
def surveyed(played: Drill, setup: Setup) -> Drill:
    """The decompression dive with only its closing left to play, on a journal of its own."""
    scenario = load_scenario(DEMO / "gate-survey.toml")
    journal = MemoryJournal()
    for entry in played.watch.entries[:-1]:
        journal.append(entry.event, entry.seq - 1)
    clock = HandClock(played.watch.entries[-2].event.at)
    watch = Watch(journal, setup, clock)
    rest = scenario.file.model_copy(update={"line": scenario.file.line[-1:], "start": clock.moment})
    return Drill(watch, Player(watch, replace(scenario, file=rest)), clock)


Sign = Callable[[bytes], bytes]


@pytest.fixture(scope="session")
def sign() -> Sign:
    """Sign a body by everybody who must, with keys that stand on the list."""

    def signed(body: bytes) -> bytes:
        at = datetime(2031, 5, 4, 9, 0, tzinfo=UTC)
        for person, role, key in ROLES:
            said = Declaration(person=person, name=person, role=role, at=at, meaning="It is so.")
            body = signing.add_signature(body, said, key)
        return body

    return signed


@pytest.fixture(scope="session")
def listed() -> signers.AllowedSigners:
    """Return the list on which both stand."""
    return signers.AllowedSigners(
        tuple(signers.signer(person, (role,), key.blob) for person, role, key in ROLES)
    )


SECRET = "correct horse"
PEOPLE: tuple[tuple[str, Role], ...] = (
    ("tam-belcourt", "timekeeper"),
    ("ines-oyelaran", "supervisor"),
    ("jona-strand", "diver"),
)
"""The passphrase of every key below, and whose keys they are."""
Say = Callable[..., tuple[int, str, str]]


@pytest.fixture(scope="session")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Folder:
    """A folder with a key for everybody."""
    made = Folder(tmp_path_factory.mktemp("keyed") / "station").prepare()
    for person, role in PEOPLE:
        make_key(made, person, (role,), SECRET)
    return made


@pytest.fixture
def say(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Say:
    """Return what runs a command with the passphrase on its standard input: exit code, output, errors."""

    def said(*words: str, typed: str = f"{SECRET}\n") -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        code = main(words)
        out = capsys.readouterr()
        return code, out.out, out.err

    return said
