"""`station record print`, `record export`, `record schema`: records in other forms."""

import sys
from argparse import Namespace
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from station.commands.record import signers_for
from station.errors import RecordError, StationError, UsageError
from station.files import read_bytes
from station.record import signers
from station.record.content import CONTENT_CHECKS
from station.record.export import as_csv, as_json
from station.record.prints import put
from station.record.render import as_text
from station.record.verify import Verdict, verify_bytes
from station.shipped import shipped

FORMS: Final[Mapping[str, Callable[[bytes, Verdict], str]]] = {
    "json": as_json,
    "csv": as_csv,
    "text": lambda data, verdict: f"{as_text(data, verdict)}\n",
}


def print_(options: Namespace) -> int:
    """Print records as PDF; one that is not sound is printed with its verdict, and the exit code says so."""
    from station.record.pdf.document import record_pdf  # noqa: PLC0415 - a third of a second to load

    paths = [Path(name) for name in options.files]
    places = _places(paths, options.out)
    failed: list[StationError] = []
    for path in _progress(paths):
        try:
            data, verdict = _verified(path)
            put(places[path], record_pdf(data, verdict, options.paper), over=options.force)
            print(f"{places[path]}: {verdict.status}")
            if not verdict.sound:
                raise RecordError(f"{path}: {verdict.problem}")
        except StationError as error:
            failed.append(error)
    return _ended(failed, len(paths))


def _places(paths: Sequence[Path], out: str | None) -> Mapping[Path, Path]:
    """Return where each PDF goes; UsageError when two would go to the same place."""
    if out is None:
        return {path: path.with_suffix(".pdf") for path in paths}
    folder = Path(out)
    if not folder.is_dir():
        if len(paths) > 1:
            raise UsageError(f"--out {out} is no folder, and {len(paths)} records do not go into one file")
        return {paths[0]: folder}
    places = {path: folder / f"{path.stem}.pdf" for path in paths}
    if len(set(places.values())) < len(set(paths)):
        raise UsageError(f"two of the records have the same name and cannot both go into {out}")
    return places


def _progress(paths: Sequence[Path]) -> Iterator[Path]:
    """Yield paths, counting them on a terminal when there are several."""
    told = len(paths) > 1 and sys.stderr.isatty()
    for number, path in enumerate(paths, start=1):
        if told:
            print(f"\rrecord {number} of {len(paths)} ", end="", file=sys.stderr, flush=True)
        yield path
    if told:
        print("\r\x1b[K", end="", file=sys.stderr, flush=True)


def _ended(failed: Sequence[StationError], total: int) -> int:
    """Return 0, or raise the only error, or tell all of them and return the first one's exit code."""
    if not failed:
        return 0
    if total == 1:
        raise failed[0]
    for error in failed:
        print(f"station: {error.title.lower()}: {error.message}", file=sys.stderr)
    print(f"station: {len(failed)} of {total} not printed, or printed though not sound", file=sys.stderr)
    return failed[0].exit_code


def export(options: Namespace) -> int:
    """Write a record in another form."""
    forms = options.forms or []
    if len(forms) != 1:
        raise UsageError("name one form: --json, --csv or --text")
    path = Path(options.file)
    data, verdict = _verified(path)
    written = FORMS[forms[0]](data, verdict)
    if options.out:
        put(Path(options.out), written.encode(), over=options.force)
        print(f"{options.out}: {verdict.status}")
    else:
        print(written, end="")
    if not verdict.sound:
        raise RecordError(f"{path}: {verdict.problem}")
    return 0


def schema(_options: Namespace) -> int:
    """Print the schema of an exported record."""
    print(read_bytes(shipped("configs") / "schemas" / "record.schema.json").decode(), end="")
    return 0


def _verified(path: Path) -> tuple[bytes, Verdict]:
    data, listed = read_bytes(path), signers_for(path, None)
    return data, verify_bytes(data, signers.load(listed) if listed else None, CONTENT_CHECKS)
