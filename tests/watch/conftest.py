"""An operation of the shipped drill station, on a journal in a file, with clocks and machines of our own."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import pytest

from station import clock, operation
from station.clock import AnchoredClock, HandClock
from station.operation import begin
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
