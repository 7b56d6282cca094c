"""Drawing, inspecting, dressing, undressing: the tender's entries, and the two that are not the tender's."""

from datetime import datetime

from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.console.duties import Duty, holders
from station.console.keyboard import key_of
from station.console.typed import day, day_of, number, of, reason
from station.errors import Refusal
from station.events import HoldReleased, ItemInspected, NutMarked, PieceDrawn, StepDone
from station.outfit import Row, StudView
from station.outfit.waiting import NUT_WORDS


async def next_step(desk: Desk, at: datetime) -> None:
    """Do the first row that is open."""
    found = desk.lane_now()
    if not found.next_steps:
        rows = (one for part in found.parts for one in part.rows if one.state == "waiting")
        first = next(rows, None)
        waits = [f"{first.title} waits for: {what}" for what in first.waits] if first else []
        raise Refusal("no step is open now", waits)
    await _do(desk, at, found.next_steps[0])


async def row(desk: Desk, at: datetime) -> None:
    """Do the row under the cursor."""
    await _do(desk, at, _row_in_hand(desk))


async def failed(desk: Desk, at: datetime) -> None:
    """Say that the inspection item under the cursor, or the next one, did not pass."""
    item = _row_in_hand(desk)
    if item.kind != "item":
        raise Refusal(f"{item.title}: only an inspection item passes or fails", ["the cursor on an item"])
    fields = [Field("remark", "What is wrong", check=of(ItemInspected, "remark"))]
    answers = await desk.ask(f"failed {item.id}", f"FAILED: {item.title}", fields, item.how)
    if answers:
        event = ItemInspected(
            lane=desk.lane, item=item.id, passed=False, remark=answers["remark"], **desk.stamp("tender", at)
        )
        desk.enter(event, f"FAILED {item.title}")


async def next_nut(desk: Desk, at: datetime) -> None:
    """Mark the next nut that is allowed."""
    stud = next((stud for stud in desk.lane_now().ring if stud.next), None)
    if stud is None:
        raise Refusal("no nut can be marked now", _nuts_wait(desk))
    _nut(desk, at, stud)


async def nut(desk: Desk, at: datetime) -> None:
    """Mark one nut by its number."""
    studs = {stud.number: stud for stud in desk.lane_now().ring}
    if not studs:
        raise Refusal("this outfit has no ring of studs: there is no nut to mark")

    def no_such(typed: str) -> str | None:
        if int(typed) in studs:
            return None
        return f"there is no stud {typed.strip()} on this outfit; {min(studs)} to {max(studs)} are possible"

    check = number(NutMarked, "stud")
    field = Field("stud", "Number of the stud", check=lambda typed: check(typed) or no_such(typed), length=3)
    answers = await desk.ask("nut", "Mark a nut", [field])
    if answers is None:
        return
    wanted = int(answers["stud"])
    stud = next(one for one in desk.lane_now().ring if one.number == wanted)
    if stud.next is None:
        may = [f"nut {one.number}: {NUT_WORDS[one.next]}" for one in desk.lane_now().ring if one.next]
        raise Refusal(
            f"nut {wanted} cannot be marked now", [f"may be marked: {one}" for one in may] or _nuts_wait(desk)
        )
    _nut(desk, at, stud)


async def hold(desk: Desk, at: datetime) -> None:
    """Release a hold that may be released, with the reason."""
    standing = [one for one in desk.lane_now().holds if one.state == "standing"]
    if not standing:
        raise Refusal("no hold stands now")
    options = [
        (one.id, f"{one.title}{' (absolute: nobody can release it)' if one.absolute else ''}")
        for one in standing
    ]
    chosen = await desk.choose("Release which hold?", options)
    if chosen is None:
        return
    answers = await desk.ask(
        f"hold {chosen}",
        f"Release: {dict(options)[chosen]}",
        [reason(HoldReleased)],
    )
    if answers:
        event = HoldReleased(
            lane=desk.lane, hold=chosen, reason=answers["reason"], **desk.stamp("supervisor", at)
        )
        desk.enter(event, f"hold released: {dict(options)[chosen]}")


def _row_in_hand(desk: Desk) -> Row:
    rows = [row for part in desk.lane_now().parts for row in part.rows]
    in_hand = desk.app.row_in_hand()
    found = next((row for row in rows if row.id == in_hand), None)
    if found is None:
        raise Refusal("no row is under the cursor", [f"{key_of('seat.tender')}, then the arrows"])
    return found


async def _do(desk: Desk, at: datetime, row: Row) -> None:
    if row.kind == "piece":
        await _draw(desk, at, row)
    elif row.kind == "item":
        event = ItemInspected(lane=desk.lane, item=row.id, passed=True, **desk.stamp("tender", at))
        desk.enter(event, f"passed: {row.title}")
    elif row.kind == "nuts":
        await _nut_of(desk, at, row)
    else:
        await _step(desk, at, row)


async def _draw(desk: Desk, at: datetime, row: Row) -> None:
    piece = desk.board.setup.outfit.pieces[row.id]
    fields = [Field("number", "Own number", check=of(PieceDrawn, "number"), length=80)]
    if piece.stamped:
        check = of(PieceDrawn, "stamped")
        fields.append(
            Field("stamped", "Set number, stamped on it", _set_number(desk), check=check, length=80)
        )
    if piece.test:
        label = f"Day of its {piece.test.what}, YYYY-MM-DD"
        fields.append(Field("tested", label, check=day, length=10, optional=True))
    answers = await desk.ask(f"draw {row.id}", f"Draw: {piece.title}", fields)
    if answers is None:
        return
    event = PieceDrawn(
        lane=desk.lane,
        piece=row.id,
        number=answers["number"],
        stamped=answers.get("stamped") or None,
        tested=day_of(answers.get("tested", "")),
        **desk.stamp("tender", at),
    )
    desk.enter(event, f"drawn: {piece.title} {answers['number']}")


def _set_number(desk: Desk) -> str:
    """Return the number stamped on the set so far, offered for the next piece of it."""
    drawn = desk.board.lanes[desk.lane].progress.drawn.values()
    return next((one.stamped for one in drawn if one.stamped), "")


async def _nut_of(desk: Desk, at: datetime, row: Row) -> None:
    step = desk.board.setup.outfit.steps[row.id]
    studs = step.nuts.studs if step.nuts else ()
    state = step.nuts.mark if step.nuts else None
    found = next((one for one in desk.lane_now().ring if one.number in studs and one.next == state), None)
    if found is None:
        raise Refusal(f"{row.title}: no nut of it can be marked now", row.waits)
    _nut(desk, at, found)


def _nut(desk: Desk, at: datetime, stud: StudView) -> None:
    if stud.next is None:
        raise Refusal(f"nut {stud.number} cannot be marked now")
    event = NutMarked(lane=desk.lane, stud=stud.number, state=stud.next, **desk.stamp("tender", at))
    desk.enter(event, f"nut {stud.number} {NUT_WORDS[stud.next]}")


def _nuts_wait(desk: Desk) -> list[str]:
    rows = [row for part in desk.lane_now().parts for row in part.rows if row.kind == "nuts" and row.waits]
    return list(rows[0].waits) if rows else []


async def _step(desk: Desk, at: datetime, row: Row) -> None:
    step = desk.board.setup.outfit.steps[row.id]
    if row.waits:
        raise Refusal(f"{row.title}: it waits for what is still open", row.waits)
    duty: Duty = (
        "diver" if "diver" in step.roles else "supervisor" if "supervisor" in step.roles else "tender"
    )
    by = desk.by(duty)
    if duty != "tender" and not await _said_so(desk, row, duty, by):
        return
    second = None
    if step.second_person:
        second = await _second(desk, row, by)
        if second is None:
            return
    stamp = desk.stamp(duty, at, by)
    event = StepDone(lane=desk.lane, step=row.id, checked_by=second, **stamp)
    desk.enter(event, f"done: {row.title}")


async def _said_so(desk: Desk, row: Row, duty: Duty, by: str) -> bool:
    words = "says so in their own words" if duty == "diver" else "gives the release"
    said = await desk.sure(row.title.upper(), f"{desk.board.name(by)}, {duty}, {words}?", [row.how])
    if not said:
        desk.say(f"{row.title}: left, nothing entered")
    return said


async def _second(desk: Desk, row: Row, by: str) -> str | None:
    people = [
        person
        for duty in ("tender", "supervisor")
        for person in holders(desk.board, duty, desk.lane)
        if person.person != by
    ]
    options = tuple((person.person, person.name) for person in people)
    field = Field("second", "Who has looked", kind="pick", options=options)
    told = f"A second person looks before this is done. {row.how}"
    answers = await desk.ask(f"second {row.id}", f"{row.title}: who has looked?", [field], told)
    return answers["second"] if answers else None
