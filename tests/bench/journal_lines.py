"""A journal of 10,000 lines on the screen: opening the console, opening the page, scrolling in it.

    python tests/bench/journal_lines.py [LINES]

Each against the same with 100 lines. The journal is read, its chain checked and every entry folded when the
console opens; a line is written on the screen only when it comes into sight.
"""

import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from dives import pattern, shifted
from live_station import make_journal
from terminal import Terminal
from timing import line

from station.console.actions import BY_ID
from station.events import Event, NoteMade, stamp

FEW = 100
TURNS = 20
SETTLING_S = 1.0
SENT = {"home": b"\x1b[H", "end": b"\x1b[F", "page up": b"\x1b[5~", "page down": b"\x1b[6~"}
REPAINTED = b"number"


def notes(count: int) -> list[Event]:
    """Return an operation's opening and so many notes, the last of them now."""
    kept, now = pattern(), datetime.now(UTC)
    begun = now - timedelta(seconds=count)
    events = [*shifted(kept.opening[1:], begun - kept.opening[-1].at)]
    for number in range(count):
        at = begun + timedelta(seconds=number)
        words = f"note number {number} of a long day at the station"
        events.append(NoteMade(text=words, **stamp(at, "tam-belcourt", "timekeeper", entered=at)))
    return events


def page(console: Terminal, count: int) -> Iterator[tuple[str, float]]:
    """Yield what was done on the journal's page, with the seconds until it was painted."""
    key = next(key for key in BY_ID["view.journal"].keys if len(key) == 1)
    console.press(key.encode())
    yield "the page", console.until(f"number {count - 1} ".encode())
    console.run(SETTLING_S)
    for name in ("home", "end"):
        console.press(SENT[name])
        yield name, console.until(f"number {count - 1 if name == 'end' else 0} ".encode())
        console.run(SETTLING_S / 4)
    for name in ("page up", "page down") * TURNS:
        console.press(SENT[name])
        yield name, console.until(REPAINTED)
        console.run(SETTLING_S / 20)


def opened(count: int) -> dict[str, list[float]]:
    """Return the seconds of everything with a journal of so many notes."""
    found: dict[str, list[float]] = {}
    with TemporaryDirectory() as folder:
        journal = make_journal(Path(folder) / "notes.journal", notes(count))
        begun = perf_counter()
        with Terminal(["-m", "station", "open", str(journal), "--folder", folder]) as console:
            console.until(b"BEFORE YOU GO ON")
            found["the console"] = [perf_counter() - begun]
            console.press(b"\r")
            console.run(SETTLING_S)
            for name, took in page(console, count):
                found.setdefault(name, []).append(took)
            print(f"{count:>6} lines: {console.memory_mb():.0f} MB")
    return found


def main() -> None:
    """Print the figures."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    few, many = opened(FEW), opened(count)
    for name, took in many.items():
        line(f"{name}, {count} lines", median(took), against_s=median(few[name]), of=f"that with {FEW}")


if __name__ == "__main__":
    main()
