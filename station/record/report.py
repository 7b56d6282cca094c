"""A verdict in words, and as data."""

from typing import Any

from station.moments import iso
from station.record.verify import Signed, Status, Verdict

_LISTED = {True: "on the list", False: "NOT ON THE LIST", None: "not held against a list"}


def report(verdict: Verdict, name: str) -> str:
    """Return the verdict on a file: one line for the file, the first problem, one line per signer."""
    drill = " (DRILL)" if verdict.drill else ""
    lines = [f"{name}{drill}: {verdict.status}"]
    if verdict.problem:
        lines.append(f"  {verdict.problem}")
    if verdict.altered:
        first, end = verdict.altered
        lines.append(f"  the change lies in bytes {first + 1} to {end} of the file")
    lines += [f"  {_signer(one)}" for one in verdict.signatures]
    if verdict.missing and verdict.status is not Status.UNSIGNED:
        lines.append(f"  not yet signed by: {', '.join(verdict.missing)}")
    if verdict.sound and any(one.listed is None for one in verdict.signatures):
        lines.append("  Without a list of allowed signers this shows which keys signed, not whose they are.")
    return "\n".join(lines)


def report_line(verdict: Verdict, name: str) -> str:
    """Return the verdict on one of several files, on one line."""
    drill = " (DRILL)" if verdict.drill else ""
    said = verdict.problem or f"signed by {', '.join(one.who for one in verdict.signatures)}"
    return f"{name}{drill}: {verdict.status}: {said}"


def as_data(verdict: Verdict) -> dict[str, Any]:
    """Return the verdict as what JSON can hold; `altered`: first byte, from 0, and one past the end."""
    return {
        "status": verdict.status.value,
        "problem": verdict.problem or None,
        "drill": verdict.drill,
        "sha256": verdict.sha256,
        "altered": list(verdict.altered) if verdict.altered else None,
        "missing": list(verdict.missing),
        "signatures": [
            one.statement.model_dump(mode="json")
            | {"listed": one.listed, "addenda": [added.model_dump(mode="json") for added in one.addenda]}
            for one in verdict.signatures
        ],
    }


def _signer(one: Signed) -> str:
    said = one.statement
    added = f", with addenda: {len(one.addenda)}" if one.addenda else ""
    return (
        f"{one.number}. {said.name} ({said.person}) as {said.role}, {iso(said.at)}, "
        f"{said.key}, {_LISTED[one.listed]}{added}"
    )
