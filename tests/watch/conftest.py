"""An operation of the shipped drill station, on a journal in a file, with clocks and machines of our own."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Self

import pytest

from station import clock, operation
from station.clock import AnchoredClock, HandClock
from station.errors import StorageError
from station.events import Event, NoteMade
from station.journal.interface import Entry, Journal
from station.journal.memory import MemoryJournal, Store
from station.operation import begin, begin_on
from station.setup import Setup, load_setup
from station.shipped import shipped
from station.watch import Watch

START = datetime(2031, 6, 3, 6, 0, tzinfo=UTC)
S = 1_000_000_000


@dataclass
class Machine:
    """Wall clock and counter of a machine, in nanoseconds."""

    wall: int = int(START.timestamp()) * S
    counter: int = 500 * S

    def wall_ns(self) -> int:
        return self.wall

    def counter_ns(self) -> int:
        return self.counter

    def run(self, seconds: float) -> None:
        self.wall += int(seconds * S)
        self.counter += int(seconds * S)


@pytest.fixture(scope="session")
def setup() -> Setup:
    return load_setup(shipped("demo") / "ossary-dam" / "station.toml")


@pytest.fixture
def machine() -> Machine:
    return Machine()


@pytest.fixture
def boot(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Return what gives this machine another run."""

    def run(name: str) -> None:
        monkeypatch.setattr(operation, "boot_id", lambda: name)
        monkeypatch.setattr(clock, "boot_id", lambda: name)

    run("first-run")
    return run


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "survey.journal"


@pytest.fixture
def begun(path: Path, setup: Setup, machine: Machine, boot: Callable[[str], None]) -> Watch:
    """An operation going on, whose journal the test closes."""
    boot("first-run")
    return begin(path, setup, AnchoredClock.started(machine), title="Gate survey", program="test")


@pytest.fixture
def hand() -> HandClock:
    return HandClock(START)


@pytest.fixture
def store() -> Store:
    return Store()


@pytest.fixture
def watch(store: Store, setup: Setup, hand: HandClock) -> Watch:
    """An operation in memory."""
    return begin_on(MemoryJournal(store), setup, hand, title="Survey", program="test")


@pytest.fixture
def other(store: Store, watch: Watch, setup: Setup) -> Watch:
    """A second seat on the same journal."""
    return Watch(MemoryJournal(store), setup, watch.clock)


class Failing:
    """A journal that cannot be written to while `full`, and counts how often it was tried."""

    def __init__(self, journal: Journal) -> None:
        self.journal = journal
        self.full = False
        self.tried = 0

    def append(self, event: Event, expected_head: int) -> Entry:
        self.tried += 1
        if self.full:
            raise StorageError("the disk is full\x07")
        return self.journal.append(event, expected_head)

    def __getattr__(self, name: str) -> object:
        return getattr(self.journal, name)

    @classmethod
    def under(cls, watch: Watch) -> Self:
        """Put such a journal under a watch and return it."""
        failing = cls(watch.journal)
        watch.journal = failing  # type: ignore[assignment]  # the rest of a journal comes by __getattr__
        return failing


@pytest.fixture
def failing(watch: Watch) -> Failing:
    return Failing.under(watch)


class Contended(Failing):
    """A journal on which another seat is first, three times."""

    races = 3
    first: Watch

    def append(self, event: Event, expected_head: int) -> Entry:
        if self.races:
            self.races -= 1
            self.first.enter(NoteMade(text="between", **self.first.stamp("tam-belcourt", "timekeeper")))
        return super().append(event, expected_head)


@pytest.fixture
def contended(watch: Watch, other: Watch) -> Contended:
    contended = Contended.under(watch)
    contended.first = other
    return contended
