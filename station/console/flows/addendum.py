"""A correction of a record that is signed: asked for at the desk, and put under the next signature."""

from pathlib import Path
from typing import TYPE_CHECKING

from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.errors import RecordError

if TYPE_CHECKING:
    from station.record.signed import Addendum


async def ask_addendum(desk: Desk, path: Path, person: str) -> "Addendum | None":
    """Return a correction of a record by a person; the first text stays. None when the dialog was left."""
    from station.files import read_bytes  # noqa: PLC0415 - loads the record's libraries only when needed
    from station.record.places import what_stands  # noqa: PLC0415 - as above
    from station.record.signed import Addendum  # noqa: PLC0415 - as above

    data = read_bytes(path)

    def no_place(typed: str) -> str | None:
        try:
            what_stands(data, typed.strip())
        except RecordError as error:
            return error.message
        return None

    fields = [
        Field("corrects", "Key or line of the record", check=no_place, length=120),
        Field("text", "What should stand there", length=2000),
        Field("reason", "Reason", length=2000),
    ]
    told = (
        "What was signed stays as it is; the addendum is added and signed. "
        "Keys are written as times.bottom_time_min or depth.readings[3], lines as line 120."
    )
    answers = await desk.ask("addendum", f"Addendum to {path.name}", fields, told)
    if answers is None:
        return None
    corrects = answers["corrects"].strip()
    if not await desk.sure(
        "ADDENDUM", f"{corrects} stands as: {what_stands(data, corrects)}", [f"to stand: {answers['text']}"]
    ):
        desk.say("addendum: left, nothing signed")
        return None
    return Addendum(
        corrects=corrects,
        text=answers["text"],
        reason=answers["reason"],
        by=person,
        at=desk.watch.clock.now(),
    )
