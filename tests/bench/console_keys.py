"""From a key press to the painted mark, against the key of an empty Textual program.

    python tests/bench/console_keys.py [ROUNDS]

A round opens a console on a journal of three divers on their way down, and takes the marks of all three by
both keys in turns, as nobody's finger could. The mark is on the disk and folded in before it is painted. What
is measured ends when the line that says so has reached the terminal. No program is faster than its disk: so
the empty one is pressed once as it is, and once with a row put on the disk first.
"""

import sys
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from time import perf_counter

from dives import in_order, pattern, shifted
from live_station import make_journal
from terminal import Terminal
from timing import line

from station.console.actions import BY_ID
from station.events import Event

ROUNDS = 12
LANES = (1, 2, 3)
MARKS = (b"reached bottom", b"left bottom", b"reached surface")
HERE = Path(__file__).parent
SETTLING_S = 1.0
BYTES = {"f9": b"\x1b[20~", "f6": b"\x1b[17~"}
BETWEEN_S = 0.3


def going_down() -> list[Event]:
    """Return the entries of three dives that have just begun."""
    kept = pattern()
    left = next(event.at for event in kept.dive if event.kind == "mark.taken")
    later = datetime.now(UTC) - timedelta(seconds=45) - left
    events = [*shifted(kept.opening[1:], later)]
    for lane in LANES:
        events += shifted([one for one in kept.dive if one.at <= left], later, lane)
    return in_order(events)


def sent(action: str) -> list[bytes]:
    """Return what a terminal sends for each key of an action."""
    return [BYTES.get(key, key.encode()) for key in BY_ID[action].keys]


def marks(console: Terminal) -> Iterator[float]:
    """Yield the seconds of each mark, lane after lane."""
    keys = sent("mark.next")
    for _lane in LANES:
        for number, words in enumerate(MARKS):
            console.run(BETWEEN_S)
            console.press(keys[number % len(keys)])
            begun = perf_counter()
            console.until(b"TAKEN")
            console.until(words + b" -")
            yield perf_counter() - begun
        console.run(BETWEEN_S)
        console.press(sent("lane.next")[0])
        console.run(BETWEEN_S)


def presses(count: int, key: bytes) -> Iterator[float]:
    """Yield the seconds of each press of a key of the empty program."""
    with TemporaryDirectory() as folder, Terminal([str(HERE / "empty_app.py"), f"{folder}/rows"]) as empty:
        empty.until(b"EMPTY")
        for number in range(count):
            empty.run(BETWEEN_S)
            empty.press(key)
            begun = perf_counter()
            empty.until(f"pressed {number + 1} times".encode())
            yield perf_counter() - begun


def one_round(folder: Path) -> Iterator[float]:
    """Yield the seconds of every mark on a console of its own."""
    journal = make_journal(folder / "marks.journal", going_down())
    with Terminal(["-m", "station", "open", str(journal), "--folder", str(folder)]) as console:
        console.until(b"BEFORE YOU GO ON")
        console.press(b"\r")
        console.run(SETTLING_S)
        yield from marks(console)


def main() -> None:
    """Print the figures."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else ROUNDS
    took: list[float] = []
    for _ in range(rounds):
        with TemporaryDirectory() as folder:
            took += one_round(Path(folder))
    bare, durable = (sorted(presses(len(took), key)) for key in (b"m", b"d"))
    took.sort()
    at = len(took) * 99 // 100
    print(f"{len(took)} marks, as many presses of each key of the empty program")
    line("key to painted text, empty program", median(bare))
    line("the same with a row put on the disk first", median(durable), against_s=median(bare), of="without")
    line("key to painted mark", median(took), against_s=median(bare), of="an empty program's")
    line("key to painted mark", median(took), against_s=median(durable), of="one's with a row")
    line("99 in 100 within, empty program", bare[at])
    line("99 in 100 within", took[at], against_s=bare[at], of="an empty program's")


if __name__ == "__main__":
    main()
