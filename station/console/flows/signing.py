"""After the end of a dive: its record written, and signed by those who must."""

import asyncio
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from station.console.desk import Desk
from station.console.flows.addendum import ask_addendum
from station.console.flows.printing import PRINTS, print_record
from station.console.flows.signer import signer_for
from station.console.keyboard import key_of
from station.errors import Refusal
from station.events import Role

if TYPE_CHECKING:
    from station.board.state import Lane
    from station.record.signed import Addendum
    from station.record.verify import Verdict

ADDENDUM = "addendum"
Option = tuple[str, str]


async def sign(desk: Desk, _at: datetime) -> None:
    """Sign the record of a closed lane: those who must, whoever may, and corrections of what is signed."""
    lane = desk.lane_in_hand()
    if not lane.closed:
        raise Refusal(f"lane {lane.number} is not closed yet", [f"the dive closed: key {key_of('close')}"])
    from station.closeout import enter_signatures, write_record  # noqa: PLC0415 - loads the record's libraries only when needed

    path = write_record(desk.watch, lane.number, desk.folder)
    told = f"Record: {path}"
    if found := enter_signatures(desk.watch, lane.number, path, desk.folder):
        told += f"\nSigned away from here and now on the journal: {', '.join(found)}"
        lane = desk.lane_in_hand()
    title, options = _offered(desk, lane)
    chosen = await desk.choose(title, options, told)
    if chosen is None:
        return
    if chosen == ADDENDUM:
        await _addend(desk, lane, path)
    elif chosen in PRINTS:
        await print_record(desk, path, PRINTS[chosen])
    else:
        await _sign(desk, lane, path, chosen)


def _offered(desk: Desk, lane: "Lane") -> tuple[str, list[Option]]:
    """Return what may be signed now: by those who must, then by those who may, then an addendum."""
    required = desk.board.setup.station.signing.required
    needed = [role for role in required if role not in {one.role for one in lane.signatures}]
    since = max((at for at, one in enumerate(lane.signatures) if one.addenda), default=0)
    done = {(one.person, one.role) for one in lane.signatures[since:]}
    must = _as_each(desk, needed)
    if needed and not must:
        raise Refusal(
            f"nobody has joined the crew as {' or '.join(needed)}", [f"the crew: key {key_of('crew')}"]
        )
    again = [role for role in required if since and role not in needed]
    may = [
        *_as_each(desk, again),
        (f"diver {lane.plan.diver}", f"{desk.board.name(lane.plan.diver)} as diver"),
    ]
    options = must + [
        (value, f"{words}, {'the addendum too' if since else 'who may sign'}")
        for value, words in may
        if (value.split(" ")[1], value.split(" ")[0]) not in done and value not in dict(must)
    ]
    if lane.signatures:
        options.append((ADDENDUM, "an addendum: correct what was signed"))
        options += [(value, f"print it as a PDF, {value.removeprefix('print ')} paper") for value in PRINTS]
    if needed:
        return f"Who signs the record of lane {lane.number}?", options
    return f"Signed by everybody who must sign lane {lane.number}. Is there more?", options


def _as_each(desk: Desk, roles: "list[Role] | tuple[Role, ...]") -> list[Option]:
    return [
        (f"{role} {person.person}", f"{person.name} as {role}")
        for role in roles
        for person in desk.board.people(role)
    ]


async def _addend(desk: Desk, lane: "Lane", path: Path) -> None:
    """Ask who corrects what, and put it under that signature."""
    roles: list[Role] = [*desk.board.setup.station.signing.required]
    options = [
        *_as_each(desk, roles),
        (f"diver {lane.plan.diver}", f"{desk.board.name(lane.plan.diver)} as diver"),
    ]
    chosen = await desk.choose("Who makes the addendum and signs it?", list(dict.fromkeys(options)))
    if chosen is None:
        return
    addendum = await ask_addendum(desk, path, chosen.split(" ")[1])
    if addendum is not None:
        await _sign(desk, lane, path, chosen, addendum)


async def _sign(desk: Desk, lane: "Lane", path: Path, chosen: str, *addenda: "Addendum") -> None:
    """Have a key found, sign with it, and show the verdict."""
    from station.closeout import declare, enter_signatures, verdict_on  # noqa: PLC0415 - as above
    from station.record.declare import MEANINGS  # noqa: PLC0415 - as above
    from station.record.signing import sign_file  # noqa: PLC0415 - as above

    word, person = chosen.split(" ")
    role: Role = next(one for one in MEANINGS if one == word)
    told = f"Record: {path.name}. With the passphrase {desk.board.name(person)} signs as {role}."
    signer = await signer_for(desk, person, role, told)
    if signer is None:
        return
    said = declare(desk.watch, lane.number, path, desk.folder, person, role, signer.blob)
    desk.say(f"{desk.board.name(person)} signs as {role}: waiting for the key")
    await asyncio.to_thread(sign_file, path, said, signer, addenda)  # an agent may ask its owner first
    enter_signatures(desk.watch, lane.number, path, desk.folder)
    await _told(desk, path, verdict_on(path, desk.folder), person, role)


async def _told(desk: Desk, path: Path, verdict: "Verdict", person: str, role: Role) -> None:
    from station.record.report import report  # noqa: PLC0415 - as above

    stands = verdict.problem or f"the record is {verdict.status}"
    desk.say(f"SIGNED by {desk.board.name(person)} as {role}; {stands}")
    await desk.tell("RECORD", f"Record: {path}", report(verdict, path.name).splitlines())
