"""`station open`: the console on a new operation, or on the one that is going on."""

from argparse import Namespace
from pathlib import Path

from station import __version__
from station.clock import AnchoredClock
from station.commands.check import check_keys
from station.errors import UsageError
from station.folder import Folder, choose_folder
from station.operation import begin, resume
from station.setup import default_station, load_setup
from station.watch import Watch

TITLE = "Operation"


def run(options: Namespace) -> int:
    """Open the console; what was entered stays on the journal when it is left."""
    from station.console.run import need_terminal, run_console  # noqa: PLC0415 - Textual only when it is used

    need_terminal()
    folder = choose_folder(options.folder).prepare()
    watch = watch_for(options, folder)
    try:
        return run_console(watch, folder, seat=options.seat)
    finally:
        watch.journal.close()


def watch_for(options: Namespace, folder: Folder) -> Watch:
    """Return the watch of the journal named, of the latest one in the folder, or of a new one.

    Raises:
        UsageError: words that do not go together.
        StationError: of every kind, when a file or the journal is not sound or cannot be written.

    """
    beginning = options.new or options.station is not None or options.title is not None
    if options.journal and beginning:
        raise UsageError(
            "a journal that is going on has its own station and title; leave out --new and the like"
        )
    if options.journal:
        return resume(Path(options.journal))
    latest = None if beginning else folder.latest_journal()
    if latest is not None:
        return resume(latest)
    named = Path(options.station) if options.station else default_station()
    setup = load_setup(named)
    check_keys(setup, named)
    clock = AnchoredClock.started()
    title = options.title or TITLE
    return begin(
        folder.new_journal(title, clock.now()), setup, clock, title=title, program=f"station {__version__}"
    )
