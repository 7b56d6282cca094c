"""Opening a journal: a new operation with its setup on board, or one that is going on.

The files in use are attached to the journal, so that it can be read back with the very same rules even
after somebody has changed the files on the disk.
"""

from datetime import datetime
from pathlib import Path

from pydantic import ValidationError

from station.clock import Anchor, AnchoredClock, Clock, Source, boot_id
from station.errors import FileError, JournalError, Refusal, UsageError
from station.events import ClockAnchored, CrewJoined, Event, OperationOpened, stamp
from station.journal.interface import Journal
from station.journal.store import SqliteJournal
from station.moments import from_ms, ms_between
from station.setup import FileRead, Setup, setup_from, with_stand_ins
from station.watch import SYSTEM, Watch

NEEDED = ("station", "outfit", "tables", "supply")
"""Files without which a journal cannot be gone on with."""


def begin(  # noqa: PLR0913 - an opening states all of these
    path: Path, setup: Setup, clock: Clock, *, title: str, program: str, drill: bool = False
) -> Watch:
    """Create a journal, enter the opening, the clock's anchor and the people of the station file.

    Raises:
        UsageError: the title will not do.
        JournalError, StorageError: it cannot be made. No file is left behind.

    """
    opening = _opening_of(setup, clock, title, program, drill=drill)
    journal = SqliteJournal.create(path)
    try:
        return _begun(journal, setup, clock, opening)
    except BaseException:
        journal.close()
        path.unlink(missing_ok=True)
        path.with_name(f"{path.name}-journal").unlink(missing_ok=True)  # SQLite's own, beside it
        raise


def begin_on(  # noqa: PLR0913 - as above
    journal: Journal, setup: Setup, clock: Clock, *, title: str, program: str, drill: bool = False
) -> Watch:
    """Open an operation on an empty journal; UsageError when the title will not do."""
    return _begun(journal, setup, clock, _opening_of(setup, clock, title, program, drill=drill))


def _opening_of(setup: Setup, clock: Clock, title: str, program: str, *, drill: bool) -> OperationOpened:
    try:
        return OperationOpened(
            title=title,
            station=setup.station.name,
            place=setup.station.place,
            drill=drill,
            program=program,
            files=setup.uses,
            **stamp(clock.now(), SYSTEM, "console"),
        )
    except ValidationError as error:
        raise UsageError(f"the title of the operation: {error.errors()[0]['msg'].lower()}") from None


def _begun(journal: Journal, setup: Setup, clock: Clock, opening: OperationOpened) -> Watch:
    for use, data in setup.sources:
        journal.attach(use.name, data)
    watch = Watch(journal, setup, clock)
    watch.enter(opening)
    if isinstance(clock, AnchoredClock):
        watch.enter(_anchored(clock.anchor))
    for person in setup.station.people:
        watch.enter(
            CrewJoined(
                person=person.id, name=person.name, roles=person.roles, **watch.stamp(person.id, "console")
            )
        )
    return watch


def resume(path: Path, source: Source | None = None) -> Watch:
    """Open a journal that is going on, with the setup attached to it and the clock anchored in it.

    Raises:
        JournalError: it is no journal of ours, is damaged, or is that of a drill.
        StorageError: it cannot be written to.

    """
    journal = SqliteJournal.open(path)
    try:
        return _resumed(journal, path, source)
    except BaseException:
        journal.close()
        raise


def _resumed(journal: Journal, path: Path, source: Source | None) -> Watch:
    events = [entry.event for entry in journal.read()]
    opened = _opening(events, path)
    if opened.drill:
        raise JournalError(f"{path}: a drill's journal is not gone on with; start the drill again")
    clock = _clock_of(events, source)
    watch = Watch(journal, setup_of(journal, opened, path), clock)
    if not any(anchor.boot == clock.anchor.boot for anchor in watch.board.anchors):
        watch.enter(_anchored(clock.anchor))
    return watch


def setup_of(journal: Journal, opened: OperationOpened, path: Path) -> Setup:
    """Return the setup whose files are attached to a journal; JournalError when one is missing or fails.

    A journal from before there were emergency cards, or rule files, gets the shipped ones as stand-ins.
    """
    sources = [
        FileRead(use.role, use.name, journal.attachment(use.sha256))
        for use in opened.files
        if use.role != "scenario"
    ]
    missing = [role for role in NEEDED if role not in {one.role for one in sources}]
    if missing:
        raise JournalError(f"{path}: the opening names no file for: {', '.join(missing)}")
    try:
        return setup_from(with_stand_ins(sources))
    except FileError as error:
        raise JournalError(
            f"{path}: a file attached to it does not pass the checks of this program: {error.message}"
        ) from None


def _opening(events: list[Event], path: Path) -> OperationOpened:
    if events and isinstance(events[0], OperationOpened):
        return events[0]
    raise JournalError(f"{path}: the first entry is not the opening of an operation")


def _clock_of(events: list[Event], source: Source | None) -> AnchoredClock:
    """Return the clock anchored by the first seat of this run of this machine, else a new one."""
    boot = boot_id()
    for event in events:
        if isinstance(event, ClockAnchored) and event.boot == boot:
            return AnchoredClock(Anchor(boot, ms_between(from_ms(0), event.at), event.counter_ns), source)
    last: datetime = max(event.entered for event in events)
    return AnchoredClock.started(source, not_before=last)


def _anchored(anchor: Anchor) -> ClockAnchored:
    moment = from_ms(anchor.wall_ms)
    return ClockAnchored(boot=anchor.boot, counter_ns=anchor.counter_ns, **stamp(moment, SYSTEM, "console"))


def require_open(watch: Watch) -> OperationOpened:
    """Return the opening of the watch's operation; Refusal when there is none yet."""
    if watch.board.opened is None:
        raise Refusal("no operation is open on this journal")
    return watch.board.opened
