"""`station record`: verify and show signed records."""

import sys
from argparse import Namespace
from pathlib import Path

from station.errors import RecordError
from station.files import read_bytes
from station.record import signers
from station.record.content import CONTENT_CHECKS
from station.record.render import as_text
from station.record.report import report
from station.record.verify import verify_file


def verify(options: Namespace) -> int:
    """Verify records; the exit code is that of the worst."""
    unsound = 0
    for name in options.files:
        path = Path(name)
        listed = signers_for(path, options.signers)
        verdict = verify_file(path, signers.load(listed) if listed else None, CONTENT_CHECKS)
        print(report(verdict, str(path)))
        unsound += not verdict.sound
    if unsound:
        raise RecordError(f"{unsound} of {len(options.files)} not sound")
    return 0


def signers_for(record: Path, named: str | None) -> Path | None:
    """Return the list of who may sign: the one named, else the one in the folder above the record's."""
    if named:
        return Path(named)
    beside = record.absolute().parent.parent / "allowed_signers"
    return beside if beside.is_file() else None


def show(options: Namespace) -> int:
    """Print a record for reading, with the verdict on its signatures above it."""
    path = Path(options.file)
    listed = signers_for(path, None)
    verdict = verify_file(path, signers.load(listed) if listed else None, CONTENT_CHECKS)
    print(as_text(read_bytes(path), verdict))
    if not verdict.sound:
        print(f"station: record: {path}: {verdict.problem}", file=sys.stderr)
        return RecordError.exit_code
    return 0
