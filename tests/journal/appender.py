"""Processes that append to one journal, for the tests that kill them or let them race.

    appender.py kill PATH ROUNDS SEED    two children append, report each entry taken, and are killed
    appender.py race PATH NAME COUNT     append COUNT notes beside whoever else does

Run as a script of its own: it loads the station once and forks, which costs a few milliseconds a child.
"""

import os
import signal
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from random import Random
from typing import TypeVar

from station.errors import HeadMoved, StorageError
from station.events import NoteMade, stamp
from station.journal.store import SqliteJournal

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=UTC)
TRIES = 10
LONGEST_SPIN_NS = 2_000_000
"""An append takes about half of this: the kill falls anywhere in it, or between two."""


Result = TypeVar("Result")


def patient(act: Callable[[], Result]) -> Result:
    """Do it again where a disk that stalls has kept the file locked too long, as the message says to."""
    for _ in range(TRIES):
        try:
            return act()
        except StorageError as error:
            if "locked" not in str(error):
                raise
    return act()


def append(journal: SqliteJournal, event: NoteMade) -> int:
    """Append behind whatever head there is, as often as another was first; return the entry's number."""
    while True:
        try:
            return patient(lambda: journal.append(event, journal.head()[0]).seq)
        except HeadMoved:
            continue


def note(text: str) -> NoteMade:
    return NoteMade(text=text, **stamp(NOON, "mira-holt", "supervisor"))


def pause(chosen: Random) -> None:
    """Let the other writer in: two that write without a pause keep each other out for seconds."""
    time.sleep(chosen.uniform(0, LONGEST_SPIN_NS / 1e9))


def child(path: Path, name: str, pipe: int) -> None:
    """Append until killed; each line into the pipe is an entry shown as taken."""
    journal = patient(lambda: SqliteJournal.open(path))
    chosen = Random(name)  # noqa: S311 - a kept seed
    count = 0
    while True:
        event = note(f"{name} {count}")
        seq = append(journal, event)
        os.write(pipe, f"{seq} {event.id}\n".encode())
        count += 1
        pause(chosen)


def fork(path: Path, name: str) -> tuple[int, int]:
    """Return a child's process number and the end of its pipe to read from."""
    reading, writing = os.pipe()
    number = os.fork()
    if number == 0:
        os.close(reading)
        try:
            child(path, name, writing)
        except BaseException:  # noqa: BLE001 - a child must never run on as the parent
            traceback.print_exc()
        finally:
            os._exit(1)
    os.close(writing)
    return number, reading


def lines(pipe: int) -> Iterator[str]:
    with os.fdopen(pipe, encoding="ascii") as stream:
        yield from stream


def killed(path: Path, name: str, chosen: Random) -> list[str]:
    """Let two children run, kill both at a moment of their own, return every entry they reported."""
    children = [fork(path, f"{name}{side}") for side in "ab"]
    first = os.read(children[0][1], 1 << 16).decode("ascii")
    until = time.monotonic_ns() + chosen.randrange(3 * LONGEST_SPIN_NS)
    while time.monotonic_ns() < until:
        pass
    for number, _ in children:
        os.kill(number, signal.SIGKILL)
        until = time.monotonic_ns() + chosen.randrange(LONGEST_SPIN_NS)
        while time.monotonic_ns() < until:
            pass
    ends = [os.waitpid(number, 0)[1] for number, _ in children]
    if any(os.waitstatus_to_exitcode(end) != -signal.SIGKILL for end in ends):
        sys.exit(f"round {name}: a child ended by itself")
    rest = [line for _, pipe in children for line in lines(pipe)]
    return first.splitlines(keepends=True) + rest


def kill(path: Path, rounds: int, seed: int) -> None:
    chosen = Random(seed)  # noqa: S311 - a kept seed
    for count in range(rounds):
        for line in killed(path, str(count), chosen):
            sys.stdout.write(line)


def race(path: Path, name: str, count: int) -> None:
    journal = patient(lambda: SqliteJournal.open(path))
    chosen = Random(name)  # noqa: S311 - a kept seed
    for number in range(count):
        append(journal, note(f"{name} {number}"))
        pause(chosen)
    journal.close()


if __name__ == "__main__":
    if sys.argv[1] == "kill":
        kill(Path(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]))
    else:
        race(Path(sys.argv[2]), sys.argv[3], int(sys.argv[4]))
