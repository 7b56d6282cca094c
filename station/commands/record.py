"""`station record`: verify and show signed records."""

import json
import sys
from argparse import Namespace
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from station.errors import FileError, RecordError
from station.files import read_bytes
from station.record import signers
from station.record.content import CONTENT_CHECKS
from station.record.render import as_text
from station.record.report import as_data, report, report_line
from station.record.signers import AllowedSigners
from station.record.verify import Verdict, verify_file

UNREAD = "cannot be read"
PROGRESS_FROM = 20
"""Files from which on it is shown how far the check has come."""

Load = Callable[[Path], AllowedSigners]
Judged = tuple[str, Verdict | FileError]


def verify(options: Namespace) -> int:
    """Verify records: one in full, several on a line each and counted; the exit code is that of the worst."""
    if len(options.files) == 1:
        verdict = verdict_on(
            Path(options.files[0]), options.signers
        )  # a file that cannot be read is told as one
        found: list[Judged] = [(options.files[0], verdict)]
    else:
        found = list(_judged(options.files, options.signers))
    print(_as_json(found) if options.json else "\n".join(_in_words(found)))
    unsound = [one for one in found if not (isinstance(one[1], Verdict) and one[1].sound)]
    if any(isinstance(one, Verdict) for _, one in unsound):
        raise RecordError(f"{len(unsound)} of {len(found)} not sound")
    if unsound:
        raise FileError(unsound[0][0], [("", UNREAD)])
    return 0


def verdict_on(path: Path, named: str | None, load: Load = signers.load) -> Verdict:
    """Return the verdict on a record by the list that counts for it."""
    listed = signers_for(path, named)
    return verify_file(path, load(listed) if listed else None, CONTENT_CHECKS)


def signers_for(record: Path, named: str | None) -> Path | None:
    """Return the list of who may sign: the one named, else the one in the folder above the record's."""
    if named:
        return Path(named)
    beside = record.absolute().parent.parent / "allowed_signers"
    return beside if beside.is_file() else None


def show(options: Namespace) -> int:
    """Print a record for reading, with the verdict on its signatures above it."""
    path = Path(options.file)
    verdict = verdict_on(path, None)
    print(as_text(read_bytes(path), verdict))
    if not verdict.sound:
        print(f"station: record: {path}: {verdict.problem}", file=sys.stderr)
        return RecordError.exit_code
    return 0


def _judged(files: Sequence[str], named: str | None) -> Iterator[Judged]:
    shown = len(files) >= PROGRESS_FROM and sys.stderr.isatty()
    load = cache(signers.load)
    if named:
        load(Path(named))  # a list that is not right is told once, not for every record
    for number, name in enumerate(files, start=1):
        if shown:
            print(f"\r{number} of {len(files)}", end="", file=sys.stderr, flush=True)
        try:
            yield name, verdict_on(Path(name), named, load)
        except FileError as error:
            yield name, error
    if shown:
        print("\r\033[K", end="", file=sys.stderr, flush=True)


def _in_words(found: Sequence[Judged]) -> Iterator[str]:
    if len(found) == 1 and isinstance(found[0][1], Verdict):
        yield report(found[0][1], found[0][0])
        return
    for name, one in found:
        yield (
            report_line(one, name) if isinstance(one, Verdict) else f"{name}: {UNREAD}: {one.problems[0][1]}"
        )
    counts = Counter(one.status.value if isinstance(one, Verdict) else UNREAD for _, one in found)
    yield f"{len(found)} files: {', '.join(f'{count} {status}' for status, count in counts.most_common())}"


def _as_json(found: Sequence[Judged]) -> str:
    rows: list[dict[str, Any]] = [
        {"file": name}
        | (as_data(one) if isinstance(one, Verdict) else {"status": UNREAD, "problem": one.message})
        for name, one in found
    ]
    return json.dumps({"records": rows}, indent=2)
