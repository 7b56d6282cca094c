"""The end of a drill: its records written, signed with keys made for it, and held against the scenario."""

import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from station.closeout import file_key, make_key, sign_record, write_record
from station.drill.account import differences, ending_lines
from station.drill.scenario import Scenario
from station.errors import DrillMismatch, RecordError
from station.folder import Folder
from station.record import signers
from station.record.content import CONTENT_CHECKS
from station.record.report import report
from station.record.stock import stock_line
from station.record.verify import Verdict, verify_file
from station.watch import Watch


@dataclass(frozen=True)
class Written:
    """A lane's record with the verdict on it."""

    lane: int
    path: Path
    verdict: Verdict


def write_and_sign(watch: Watch, scenario: Scenario, folder: Folder) -> list[Written]:
    """Write the record of every closed lane and put the scenario's signatures under them.

    What stands there already is left as it is, so it may be called again. Errors as of `station.closeout`.
    """
    return [
        _written(watch, scenario, folder, number)
        for number, lane in watch.board.lanes.items()
        if lane.closed is not None
    ]


def _written(watch: Watch, scenario: Scenario, folder: Folder, lane: int) -> Written:
    path = write_record(watch, lane, folder)
    done = {(one.person, one.role) for one in watch.board.lanes[lane].signatures}
    for wanted in scenario.file.signature:
        if wanted.lane != lane or (wanted.by, wanted.role) in done:
            continue
        _need_key(scenario, folder, wanted.by)
        key = file_key(folder, wanted.by, scenario.file.passphrase)
        sign_record(watch, lane, path, folder, wanted.by, wanted.role, key)
    listed = signers.load(folder.allowed_signers) if folder.allowed_signers.exists() else None
    return Written(lane, path, verify_file(path, listed, CONTENT_CHECKS))


def _need_key(scenario: Scenario, folder: Folder, person: str) -> None:
    if not (folder.keys / person).exists():
        roles = dict.fromkeys(one.role for one in scenario.file.signature if one.by == person)
        make_key(folder, person, list(roles), scenario.file.passphrase)


def record_lines(written: list[Written], folder: Folder) -> Iterator[str]:
    """Yield each record's path, the verdict on it, and how to come to that verdict without this program."""
    for one in written:
        yield ""
        yield f"Record of lane {one.lane}: {one.path}"
        yield report(one.verdict, one.path.name)
        if one.verdict.signatures:
            last = one.verdict.signatures[-1]
            yield "To verify it by OpenSSH alone (its last signature covers every byte before it):"
            at = last.statement.at.strftime("%Y%m%d%H%M%SZ")
            line = stock_line(one.path.name, last.who, f"../{folder.allowed_signers.name}", at)
            yield f"  cd {shlex.quote(str(folder.records.absolute()))}; {line}"


def summary_lines(watch: Watch, written: list[Written], folder: Folder) -> list[str]:
    """Return how a drill ended."""
    return [*ending_lines(watch.board), *record_lines(written, folder)]


def hold_against(watch: Watch, scenario: Scenario, written: list[Written]) -> None:
    """Return when the drill ended as its scenario says and every record is sound.

    Raises:
        DrillMismatch: a figure differs, or a dive was not closed; all of it is listed.
        RecordError: a record is not sound.

    """
    found = [*_unwritten(scenario, written)]
    found += [one.text for one in differences(watch.board, scenario.file.expected)]
    if found:
        lines = "".join(f"\n  {line}" for line in found)
        raise DrillMismatch(f"the drill did not end as {scenario.path} says it must:{lines}")
    for one in written:
        if not one.verdict.sound:
            raise RecordError(f"{one.path} is not sound: {one.verdict.problem}")


def _unwritten(scenario: Scenario, written: list[Written]) -> Iterator[str]:
    """Yield a line for every dive that must be signed or compared and was not closed."""
    due = {one.lane for one in scenario.file.signature} | {one.lane for one in scenario.file.expected}
    for lane in sorted(due - {one.lane for one in written}):
        yield f"lane {lane}: not closed, so it has no record"
