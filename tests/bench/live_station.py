"""A journal on the disk with divers below at this very moment, for a console to open."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from dives import in_order, pattern, shifted

from station.clock import HandClock
from station.events import Event
from station.operation import begin

BEGUN = {1: timedelta(0), 2: timedelta(minutes=30), 3: timedelta(minutes=44)}
"""When each lane's dive begins, against the first: at a stop, on the bottom, and lately below."""
BELOW = timedelta(minutes=50)
"""How long the first diver has been below."""


def make_journal(path: Path, events: Sequence[Event]) -> Path:
    """Write a journal that is going on, with these entries behind its opening; return its path."""
    setup = pattern().setup
    watch = begin(path, setup, HandClock(events[0].at), title="Three divers below", program="benchmark")
    for event in events:
        watch.journal.append(event, watch.journal.head()[0])
    watch.journal.close()
    return path


def three_below() -> list[Event]:
    """Return the entries of three dives that are going on now."""
    kept = pattern()
    left = next(event.at for event in kept.dive if event.kind == "mark.taken")
    now = datetime.now(UTC)
    later = now - BELOW - left
    events = [*shifted(kept.opening[1:], later)]
    for lane, apart in BEGUN.items():
        events += shifted(kept.dive, later + apart, lane)
    return [event for event in in_order(events) if event.entered <= now]
