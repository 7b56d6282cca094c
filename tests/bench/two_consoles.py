"""From a key at one console to the mark on another, each a process of its own on one journal.

    python tests/bench/two_consoles.py [ROUNDS]

A round opens two consoles on a journal of three divers on their way down, the timekeeper's and the
supervisor's, and takes every diver's marks at the first. What is measured begins with the key and ends when
the other terminal has been told of the mark. The other console looks once a tick, so half a tick of waiting
is in the median and a whole one in the worst; the aim is half a second.
"""

import sys
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from console_keys import BETWEEN_S, LANES, MARKS, SETTLING_S, going_down, sent
from live_station import make_journal
from terminal import Terminal
from timing import line

from station.console.app import TICK_S

ROUNDS = 6


def marks(here: Terminal, there: Terminal) -> Iterator[tuple[float, float]]:
    """Yield the seconds of each mark until it stands here, and until it stands there."""
    keys = sent("mark.next")
    for lane in LANES:
        for number, words in enumerate(MARKS):
            here.run(BETWEEN_S)
            there.press(b"")
            here.press(keys[number % len(keys)])
            begun = perf_counter()
            here.until(words + b" -")
            taken = perf_counter() - begun
            there.until(b"lane %d: " % lane + words)
            yield taken, perf_counter() - begun
        here.run(BETWEEN_S)
        here.press(sent("lane.next")[0])
        here.run(BETWEEN_S)


def one_round(folder: Path) -> Iterator[tuple[float, float]]:
    """Yield the seconds of every mark between two consoles of their own."""
    journal = make_journal(folder / "two.journal", going_down())
    words = ["-m", "station", "open", str(journal), "--folder", str(folder), "--seat"]
    with ExitStack() as opened:
        here, there = (opened.enter_context(Terminal([*words, one])) for one in ("timekeeper", "supervisor"))
        for console in (here, there):
            console.until(b"BEFORE YOU GO ON")
            console.press(b"\r")
            console.run(SETTLING_S)
        yield from marks(here, there)


def main() -> None:
    """Print the figures."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    took: list[tuple[float, float]] = []
    for _ in range(rounds):
        with TemporaryDirectory() as folder:
            took += one_round(Path(folder))
    here, there = (sorted(one) for one in zip(*took, strict=True))
    print(f"{len(took)} marks, each seen by a console that looks every {TICK_S:g} s")
    line("key to the mark here", median(here))
    line("key to the mark there", median(there), against_s=TICK_S, of="a tick")
    line("the longest", there[-1], against_s=TICK_S, of="a tick")


if __name__ == "__main__":
    main()
