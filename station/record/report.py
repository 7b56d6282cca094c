"""A verdict in words."""

from station.moments import iso
from station.record.verify import Signed, Status, Verdict

_LISTED = {True: "on the list", False: "NOT ON THE LIST", None: "not held against a list"}


def report(verdict: Verdict, name: str) -> str:
    """Return the verdict on a file: one line for the file, the first problem, one line per signer."""
    drill = " (DRILL)" if verdict.drill else ""
    lines = [f"{name}{drill}: {verdict.status}"]
    if verdict.problem:
        lines.append(f"  {verdict.problem}")
    lines += [f"  {_signer(one)}" for one in verdict.signatures]
    if verdict.missing and verdict.status is not Status.UNSIGNED:
        lines.append(f"  not yet signed by: {', '.join(verdict.missing)}")
    if verdict.sound and any(one.listed is None for one in verdict.signatures):
        lines.append("  Without a list of allowed signers this shows which keys signed, not whose they are.")
    return "\n".join(lines)


def _signer(one: Signed) -> str:
    said = one.statement
    return (
        f"{one.number}. {said.name} ({said.person}) as {said.role}, {iso(said.at)}, "
        f"{said.key}, {_LISTED[one.listed]}"
    )
