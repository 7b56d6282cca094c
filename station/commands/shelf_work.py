"""`station shelf check` and `shelf import`: work on all records of a folder."""

import json
from argparse import Namespace
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Final

from station.commands.shelf_lines import shown, table, wrapped
from station.commands.shelf_open import Progress, jobs_of, opened, shelf_of
from station.errors import FileError, RecordError
from station.folder import choose_folder
from station.record import signers
from station.shelf import check as checking
from station.shelf.bring import Brought, bring, summary
from station.shelf.check import Checked
from station.shelf.earlier import signers_of
from station.shelf.entry import UNREADABLE
from station.shelf.scan import names
from station.shelf.shelf import Shelf, folder_of_records

UNSETTLED: Final = ("conflict", "not taken")
"""What people must look at."""


def check(options: Namespace) -> int:
    """Verify every record, tell those that are not sound, and sum up."""
    jobs = jobs_of(options)
    status: Counter[str] = Counter()
    unsound: list[Checked] = []
    remembered = 0
    with opened(options, jobs=jobs) as shelf:
        for one in _counted(checking.check(shelf, whole=options.whole, jobs=jobs), shelf):
            status[one.status] += 1
            remembered += one.remembered
            if not one.sound:
                unsound.append(one)
    if options.json:
        rows = [{"file": one.name, "verdict": one.status, "problem": one.problem} for one in unsound]
        print(json.dumps({"summary": status, "content_remembered": remembered, "not_sound": rows}))
    else:
        print("\n".join(_check_lines(status, unsound, remembered)))
    return _worst(unsound)


def _counted(found: Iterator[Checked], shelf: Shelf) -> Iterator[Checked]:
    progress, total = Progress("verifying"), shelf.refreshed.there
    for number, one in enumerate(found, start=1):
        progress(number, total)
        yield one
    progress.over()


def _check_lines(status: Counter[str], unsound: Sequence[Checked], remembered: int) -> list[str]:
    lines: list[str] = []
    for one in unsound:
        lines += [
            f"{shown(one.name)}{' (DRILL)' if one.drill else ''}: {one.status}",
            *wrapped(one.problem, "  "),
        ]
    rows = [(name, str(count)) for name, count in status.most_common()]
    lines += table(("verdict", "files"), [*rows, ("all", str(status.total()))], right=("files",))
    if remembered:
        lines += wrapped(
            "Every signature was verified. Content known to be right by the same SHA-256, and not gone "
            f"through again: {remembered}; --whole goes through it."
        )
    return lines


def _worst(unsound: Sequence[Checked]) -> int:
    if any(one.status != UNREADABLE for one in unsound):
        return RecordError.exit_code
    return FileError.exit_code if unsound else 0


def import_(options: Namespace) -> int:
    """Take in another folder's records, or say what that would come to."""
    source = folder_of_records(Path(options.source))
    folder = choose_folder(options.folder)
    if not options.dry_run:
        folder.prepare()
    listed = signers_of(folder)
    judge = signers.load(Path(options.signers)) if options.signers else listed
    found: list[Brought] = []
    progress = Progress("looking at records")
    with shelf_of(folder, listed, in_memory=options.dry_run) as shelf:
        total = sum(1 for _ in names(source))
        try:
            for one in bring(shelf, source, judge, dry_run=options.dry_run):
                found.append(one)
                progress(len(found), total)
        finally:  # what was copied before an error or an interrupt is told too
            progress.over()
            _print_import(found, options, judged=judge is not None)
    return RecordError.exit_code if any(one.what in UNSETTLED for one in found) else 0


def _print_import(found: Sequence[Brought], options: Namespace, *, judged: bool) -> None:
    if options.json:
        rows = [asdict(one) for one in found]
        print(json.dumps({"dry_run": options.dry_run, "summary": summary(found), "files": rows}))
        return
    lines: list[str] = []
    for one in found:
        lines.append(f"{one.what:<9}  {shown(one.name)}")
        lines += wrapped(one.why, "  ") if one.why else []
    lines += _stranger_lines(found)
    rows_ = [(what, str(count)) for what, count in summary(found).items()]
    lines += table(("nothing copied" if options.dry_run else "what was done", "files"), rows_, ("files",))
    if not judged:
        lines += wrapped("No list of signers was given: which keys signed was shown, not whose they are.")
    print("\n".join(lines), flush=True)


def _stranger_lines(found: Sequence[Brought]) -> list[str]:
    """Say who signed and is not listed, and how to list them: that is for people to decide."""
    strangers = dict.fromkeys(stranger for one in found for stranger in one.strangers)
    if not strangers:
        return []
    lines = ["", "Signed by, and not listed for it:"]
    lines += [f"  {one.who}  {one.fingerprint}" for one in strangers]
    lines += wrapped(
        "Ask the other station for these fingerprints by another way than this folder. Where they agree, add "
        "the lines below to allowed_signers, or to a list named by --signers, and import again:"
    )
    return [*lines, *(f"  {one.line}" for one in strangers), ""]
