"""The key that signs: held by a running ssh-agent, opened by its passphrase, or made now."""

import asyncio
from typing import TYPE_CHECKING

from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.errors import AgentError, KeyFileError
from station.events import Role

if TYPE_CHECKING:
    from station.record.agent import AgentKey
    from station.record.sshsig import Signer

TRIES = 3
"""How often a passphrase is asked for before the dialog is left."""


async def signer_for(desk: Desk, person: str, role: Role, told: str) -> "Signer | None":
    """Return what signs for a person in a role, None when the dialog was left."""
    from station.closeout import file_key  # noqa: PLC0415 - loads the record's libraries only when needed

    name = desk.board.name(person)
    held, why = await _held(desk, person, role)
    if held is not None and await desk.sure(
        "THE AGENT HOLDS THE KEY",
        f"The ssh-agent holds the key of {name}: sign as {role} with it?",
        [f"fingerprint {held.fingerprint}", "Esc: sign with the passphrase instead"],
    ):
        return held
    if not (desk.folder.keys / person).exists():
        secret = await _new_key(desk, person)
        return None if secret is None else file_key(desk.folder, person, secret)
    told = f"{told} {why}".rstrip()
    for _ in range(TRIES):
        title = f"{name} signs as {role}"
        answers = await desk.ask("sign", title, [Field("secret", "Passphrase", kind="secret")], told)
        if answers is None:
            return None
        try:
            return file_key(desk.folder, person, answers["secret"])
        except KeyFileError as error:
            told = f"NOT SIGNED: {error.message}"
    raise KeyFileError(told.removeprefix("NOT SIGNED: "))


async def _held(desk: Desk, person: str, role: Role) -> "tuple[AgentKey | None, str]":
    """Return the person's key if an agent holds it, and what to say of an agent that does not answer."""
    from station.closeout import held_key  # noqa: PLC0415 - as above

    try:
        found = await asyncio.to_thread(held_key, desk.folder, person, role, desk.watch.clock.now())
    except AgentError as error:
        return None, f"({error.message}.)"
    return found, ""


def _will_not_do(passphrase: str) -> str | None:
    from station.record.keys import check_passphrase  # noqa: PLC0415 - as above

    try:
        check_passphrase(passphrase)
    except KeyFileError as error:
        return error.message
    return None


async def _new_key(desk: Desk, person: str) -> str | None:
    """Make a signing key for a person who has none; return its passphrase, None when left."""
    from station.closeout import make_key  # noqa: PLC0415 - as above

    name = desk.board.name(person)
    fields = [
        Field("secret", "New passphrase (8 characters or more)", kind="secret", check=_will_not_do),
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
            make_key(desk.folder, person, desk.board.crew[person].roles, answers["secret"])
        except KeyFileError as error:
            told = f"NO KEY MADE: {error.message}"
            continue
        return answers["secret"]
