"""After the end of a dive: its record written, and signed by those who must."""

from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.errors import KeyFileError, Refusal
from station.events import Role

if TYPE_CHECKING:
    from station.record.verify import Verdict

TRIES = 3
"""How often a passphrase is asked for before the dialog is left."""


async def sign(desk: Desk, _at: datetime) -> None:
    """Sign the record of a closed lane, as each of the roles that must sign."""
    lane = desk.lane_now().lane
    if not lane.closed:
        raise Refusal(f"lane {lane.number} is not closed yet", ["the dive closed: key z"])
    from station.closeout import write_record  # noqa: PLC0415 - loads the record's libraries only when needed

    path = write_record(desk.watch, lane.number, desk.folder)
    signed = {one.role for one in lane.signatures}
    needed = [role for role in desk.board.setup.station.signing.required if role not in signed]
    if not needed:
        await desk.tell("RECORD", f"Signed by everybody who must sign it: {path}")
        return
    options = [
        (f"{role} {person.person}", f"{person.name} as {role}")
        for role in needed
        for person in desk.board.people(role)
    ]
    if not options:
        raise Refusal(f"nobody has joined the crew as {' or '.join(needed)}", ["the crew: key c"])
    chosen = await desk.choose(f"Who signs the record of lane {lane.number}?", options)
    if chosen is None:
        return
    role, person = chosen.split(" ")
    signer: Role = next(one for one in needed if one == role)
    verdict = await _with_key(desk, lane.number, path, person, signer)
    if verdict is not None:
        await _told(desk, path, verdict, person, signer)


async def _with_key(desk: Desk, lane: int, path: Path, person: str, role: Role) -> "Verdict | None":
    """Return the verdict after signing, None when the dialog was left."""
    from station.closeout import sign_record  # noqa: PLC0415 - as above

    told = f"Record: {path.name}. With the passphrase {desk.board.name(person)} signs as {role}."
    if not (desk.folder.keys / person).exists():
        secret = await _new_key(desk, person)
        return (
            None if secret is None else sign_record(desk.watch, lane, path, desk.folder, person, role, secret)
        )
    for _ in range(TRIES):
        title = f"{desk.board.name(person)} signs as {role}"
        answers = await desk.ask("sign", title, [Field("secret", "Passphrase", kind="secret")], told)
        if answers is None:
            return None
        try:
            return sign_record(desk.watch, lane, path, desk.folder, person, role, answers["secret"])
        except KeyFileError as error:
            told = f"NOT SIGNED: {error.message}"
    raise KeyFileError(told.removeprefix("NOT SIGNED: "))


async def _new_key(desk: Desk, person: str) -> str | None:
    """Make a signing key for a person who has none; return its passphrase, None when left."""
    from station.closeout import make_key  # noqa: PLC0415 - as above

    name = desk.board.name(person)
    fields = [
        Field("secret", "New passphrase (8 characters or more)", kind="secret"),
        Field("again", "The same once more", kind="secret"),
    ]
    told = f"{name} has no signing key in this folder yet. One is made now and locked by a passphrase."
    while True:
        answers = await desk.ask(f"key {person}", f"New signing key for {name}", fields, told)
        if answers is None:
            return None
        if answers["secret"] != answers["again"]:
            told = "NO KEY MADE: the two passphrases differ."
            continue
        try:
            make_key(desk.folder, person, _signing_roles(desk, person), answers["secret"])
        except KeyFileError as error:
            told = f"NO KEY MADE: {error.message}"
            continue
        return answers["secret"]


def _signing_roles(desk: Desk, person: str) -> Sequence[str]:
    return [role for role in desk.board.crew[person].roles if role != "standby"]


async def _told(desk: Desk, path: Path, verdict: "Verdict", person: str, role: Role) -> None:
    from station.record.report import report  # noqa: PLC0415 - as above

    desk.say(f"SIGNED by {desk.board.name(person)} as {role}: {verdict.status}")
    await desk.tell("RECORD", f"Record: {path}", report(verdict, path.name).splitlines())
