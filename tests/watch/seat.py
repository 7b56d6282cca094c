"""A seat in a process of its own: resumes a journal, enters pressures, tells what was taken and its board.

seat.py JOURNAL FIRST COUNT TOTAL    enter COUNT pressures from FIRST on, wait until TOTAL are on the
journal, print the digest of the board
seat.py JOURNAL FIRST forever        enter pressures until killed, with the board's digest after each
"""

import hashlib
import sys
from pathlib import Path
from threading import Event

from station.board.state import Board
from station.events import SupplyRead
from station.operation import resume
from station.watch import Watch


def digest(board: Board) -> str:
    """Return one line that two boards share only when they are the same."""
    parts = (board.log, board.supply, board.remarks, sorted(board.crew.items()), sorted(board.lanes.items()))
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def say(words: object) -> None:
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


def enter(watch: Watch, pressure_psig: int) -> int:
    stamp = watch.stamp("tam-belcourt", "timekeeper")
    return watch.enter(SupplyRead(source="bank-1", pressure_psig=pressure_psig, **stamp)).seq


def main(path: Path, first: int, count: str, total: str = "0") -> None:
    watch = resume(path)
    say("ready")
    sys.stdin.readline()
    if count == "forever":
        while True:
            seq = enter(watch, first)
            say(f"{seq} {first} {digest(watch.board)}")
            first += 1
    for pressure_psig in range(first, first + int(count)):
        enter(watch, pressure_psig)
    while len(watch.board.supply) < int(total):
        if not watch.poll():
            Event().wait(0.002)
    say(digest(watch.board))
    watch.journal.close()


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]), *sys.argv[3:])
