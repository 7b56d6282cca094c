"""Seats in processes of their own on one journal: nothing lost, nothing doubled, all see the same board."""

import runpy
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from station.board.fold import fold
from station.clock import AnchoredClock
from station.operation import begin, resume
from station.setup import Setup

SEAT = Path(__file__).with_name("seat.py")
"""Waits for a line on its standard input, so that all seats begin at once."""
digest = runpy.run_path(str(SEAT))["digest"]


@contextmanager
def seat(path: Path, *words: object) -> Iterator[subprocess.Popen[str]]:
    command = [sys.executable, str(SEAT), str(path), *map(str, words)]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
        try:
            yield process
        finally:
            process.kill()


def go(process: subprocess.Popen[str]) -> None:
    assert process.stdin is not None
    process.stdin.write("\n")
    process.stdin.flush()


def line(process: subprocess.Popen[str]) -> str:
    assert process.stdout is not None
    return process.stdout.readline().strip()


def new(path: Path, setup: Setup) -> None:
    begin(path, setup, AnchoredClock.started(), title="Survey", program="test").journal.close()


def test_two_seats_end_with_the_same_board(path: Path, setup: Setup) -> None:
    new(path, setup)
    with seat(path, 1000, 40, 80) as one, seat(path, 2000, 40, 80) as two:
        go(one)
        go(two)
        boards = {line(one), line(two)}
    watch = resume(path)
    watch.journal.close()
    assert boards == {digest(watch.board)}
    assert sorted(one.pressure_psig for one in watch.board.supply) == [*range(1000, 1040), *range(2000, 2040)]
    assert len(watch.board.anchors) == 1


def test_a_killed_seat_s_board_is_restored(path: Path, setup: Setup) -> None:
    new(path, setup)
    with seat(path, 1000, "forever") as process:
        go(process)
        shown = [line(process) for _ in range(25)]
        process.kill()
        assert process.stdout is not None
        shown += [rest for rest in process.stdout.read().split("\n") if len(rest.split()) == 3]
    watch = resume(path)
    watch.journal.close()
    log = watch.board.log
    for text in shown:
        seq, pressure, board = text.split()
        assert getattr(log[int(seq) - 1], "pressure_psig", None) == int(pressure)
        assert digest(fold(setup, log[: int(seq)])) == board
    assert len(watch.board.supply) - len(shown) in (0, 1), "one may be durable that was not shown yet"
