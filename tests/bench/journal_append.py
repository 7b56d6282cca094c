"""An entry of the journal, durable and chained, against the bare write and fsync that it cannot do without.

    python tests/bench/journal_append.py [FOLDER [ENTRIES]]

FOLDER is on the disk that is asked about; the system's folder for passing files unless one is named. Each
round appends both ways, so that a disk which is slow for a while is slow for both.
"""

import os
import sys
from collections.abc import Iterator
from datetime import timedelta
from functools import partial
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from dives import pattern, shifted
from timing import line, seconds

from station.events import Event
from station.journal.memory import MemoryJournal
from station.journal.store import SqliteJournal

ENTRIES = 1000


def appended(folder: Path, events: list[Event]) -> Iterator[tuple[float, float, float]]:
    """Yield the seconds of each entry: bare, on the journal, and on one in memory."""
    journal, memory = SqliteJournal.create(folder / "bench.journal"), MemoryJournal()
    with (folder / "bare").open("ab", buffering=0) as bare:

        def written(line_of_json: bytes) -> None:
            bare.write(line_of_json)
            os.fsync(bare.fileno())

        for head, event in enumerate(events):
            body = event.model_dump_json().encode()
            yield (
                seconds(partial(written, body)),
                seconds(partial(journal.append, event, head)),
                seconds(partial(memory.append, event, head)),
            )
    journal.close()


def main() -> None:
    """Print the figures."""
    count = int(sys.argv[2]) if len(sys.argv) > 2 else ENTRIES
    kept = pattern()
    once = [*kept.opening, *kept.dive]
    events = [event for _ in range(1 + count // len(once)) for event in shifted(once, timedelta())][:count]
    with TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as folder:
        bare, durable, memory = (sorted(way) for way in zip(*appended(Path(folder), events), strict=True))
    base = median(bare)
    line("bare write and fsync", base)
    for name, took in (("an entry on the journal", durable), ("an entry in memory, no disk", memory)):
        line(name, median(took), against_s=base, of="a bare write")
    at = len(durable) * 99 // 100
    line("an entry on the journal, 99 in 100 within", durable[at], against_s=bare[at], of="the same, bare")


if __name__ == "__main__":
    main()
