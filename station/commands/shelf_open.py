"""What the commands of the shelf share: the shelf opened, progress, times and numbers as typed."""

import re
import sys
import time
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from station.errors import StorageError, UsageError
from station.folder import Folder, choose_folder
from station.record import signers
from station.record.signers import AllowedSigners
from station.shelf.earlier import signers_of
from station.shelf.shelf import Shelf
from station.shelf.spread import cores

MOST_JOBS: Final = 64
_EVERY_S: Final = 0.2
_BAR: Final = 30


@contextmanager
def opened(options: Namespace, *, jobs: int = 0, afresh: bool = False) -> Iterator[Shelf]:
    """Open the shelf of the folder that is meant; a list of signers named apart leaves its index as it is."""
    named = getattr(options, "signers", None)
    folder = choose_folder(options.folder)
    listed = signers.load(Path(named)) if named else signers_of(folder)
    with shelf_of(folder, listed, jobs=jobs, afresh=afresh, in_memory=bool(named)) as shelf:
        yield shelf


@contextmanager
def shelf_of(
    folder: Folder,
    listed: AllowedSigners | None,
    *,
    jobs: int = 0,
    afresh: bool = False,
    in_memory: bool = False,
) -> Iterator[Shelf]:
    """Open a folder's shelf, with a bar while records are read; StorageError when there are none."""
    if not folder.records.is_dir():
        raise StorageError(f"{folder.records}: no such folder, so there are no records yet")
    progress = Progress("reading records")
    with Shelf.open(
        folder.records,
        listed,
        tell=_tell,
        jobs=jobs or cores(),
        progress=progress,
        afresh=afresh,
        in_memory=in_memory,
    ) as shelf:
        progress.over()
        yield shelf


class Progress:
    """A bar on standard error, on a terminal alone, drawn five times a second at the most."""

    def __init__(self, what: str) -> None:
        self._what = what
        self._shown = sys.stderr.isatty()
        self._drawn = 0.0

    def __call__(self, done: int, total: int) -> None:
        """Draw how far it is."""
        now = time.monotonic()
        if not self._shown or (now - self._drawn < _EVERY_S and done < total):
            return
        self._drawn = now
        full = _BAR * done // max(1, total)
        bar = "#" * full + "." * (_BAR - full)
        print(f"\r{self._what} [{bar}] {done} of {total} ", end="", file=sys.stderr, flush=True)

    def over(self) -> None:
        """Wipe the bar away."""
        if self._drawn:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _tell(words: str) -> None:
    print(f"station: {words}", file=sys.stderr)


def jobs_of(options: Namespace) -> int:
    """Return how many processes were asked for; UsageError when that is no number from 1 to 64."""
    if options.jobs is None:
        return cores()
    if not re.fullmatch(r"[0-9]{1,2}", options.jobs) or not 1 <= int(options.jobs) <= MOST_JOBS:
        raise UsageError(f"--jobs takes a whole number from 1 to {MOST_JOBS}, not '{options.jobs[:40]}'")
    return int(options.jobs)


def day_of(text: str | None, option: str) -> date | None:
    """Return a day as typed; UsageError when it is none."""
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"{option} takes a day such as 2031-05-04, not '{text[:40]}'") from None


def moment_of(options: Namespace) -> datetime:
    """Return the moment that was asked for, else now; UsageError when it is none, or has no zone."""
    if options.at is None:
        return datetime.now(UTC)
    try:
        found = datetime.fromisoformat(options.at)
    except ValueError:
        found = None
    if found is None or found.tzinfo is None:
        raise UsageError(f"--at takes a time in UTC such as 2031-05-04T12:00Z, not '{options.at[:40]}'")
    return found.astimezone(UTC)
