"""What a person says by signing, and whether that person may say it: the checks before any signature.

A record is signed at the console, which knows the journal, or by itself, where only the file can tell who was
there. Both ask here.
"""

from datetime import datetime
from pathlib import Path
from typing import Final

from station.errors import FileError, KeyFileError, RecordError, Refusal
from station.events import Role
from station.files import FileModel, load
from station.moments import Moment, iso
from station.record import agent, signers
from station.record.agent import AgentKey
from station.record.content import CONTENT_CHECKS
from station.record.signed import Declaration, split
from station.record.signers import AllowedSigners, identity
from station.record.verify import Status, verify_bytes
from station.record.wire import untyped

MEANINGS: Final[dict[Role, str]] = {
    "timekeeper": "I kept the times of this dive; times, depths and pressures stand here as I took them.",
    "supervisor": "I was in charge of this dive and have read this record; as far as I know it is true.",
    "diver": "I made this dive and have read this record; it is true as far as I know.",
    "tender": "I tended this diver; inspection, dressing and undressing stand here as they were done.",
    "standby": "I stood by for this dive and have read this record.",
}
DRILL_MEANING: Final = "DRILL, nobody was in the water: "


class _Member(FileModel, extra="ignore"):
    id: str
    name: str
    roles: tuple[str, ...]


class _People(FileModel, extra="ignore"):
    team: tuple[_Member, ...]


class _After(FileModel, extra="ignore"):
    closed: Moment


class _Body(FileModel, extra="ignore"):
    people: _People
    after: _After


def declaration(person: str, name: str, role: Role, at: datetime, *, drill: bool) -> Declaration:
    """Return what a person says by signing in a role."""
    meaning = (DRILL_MEANING if drill else "") + MEANINGS[role]
    return Declaration(person=person, name=name, role=role, at=at, meaning=meaning)


def declaration_for(data: bytes, person: str, role: Role, at: datetime) -> Declaration:
    """Return what a person says by signing a record that lies before us alone, without its journal.

    A drill has the clock of its script, so a drill's is dated after its closing whatever the time is now.

    Raises:
        RecordError: the record is not in order, or `at` lies before the closing of the dive.
        Refusal: by the record the person has not got that role.

    """
    verdict = verify_bytes(data, None, CONTENT_CHECKS)
    if verdict.status not in {Status.SOUND, Status.UNSIGNED}:
        raise RecordError(f"the record cannot be signed: {verdict.problem}")
    body = _body(data)
    drill, closed = bool(verdict.drill), body.after.closed
    if at < closed and not drill:
        raise RecordError(
            f"this machine's clock says {iso(at)}, and the dive was closed at {iso(closed)}: set the clock"
        )
    name = next((one.name for one in body.people.team if one.id == person and role in one.roles), None)
    if name is None:
        raise Refusal(f"{person} is not {role} in this record and cannot sign it as that")
    return declaration(person, name, role, max(at, closed), drill=drill)


def _body(data: bytes) -> _Body:
    try:
        return load(split(data).body, "the record's body", _Body)
    except FileError as error:
        raise RecordError(f"the record cannot be signed: {error.message}") from None


def must_be_listed(listed: AllowedSigners, key: bytes, said: Declaration, file: Path) -> None:
    """Raise KeyFileError, with the remedy, when the key may not sign as what the person signs as."""
    who = identity(said.person, said.role)
    if objection := listed.objection(key, who, said.at):
        line = signers.signer(said.person, (said.role,), key).line()
        raise KeyFileError(f"{objection}, so {who} cannot sign; whoever keeps {file} adds this line: {line}")


def agent_key(listed: AllowedSigners, person: str, role: str, at: datetime) -> AgentKey:
    """Return the person's key from the running ssh-agent; AgentError when it has none that may sign so.

    The list of allowed signers says which keys are theirs.
    """
    who = identity(person, role)
    own = [line.key for line in listed.lines if not line.objection(who, at)]
    return agent.find([key for key in dict.fromkeys(own) if _ed25519(key)])


def _ed25519(key: bytes) -> bool:
    try:
        untyped(key)
    except ValueError:
        return False
    return True
