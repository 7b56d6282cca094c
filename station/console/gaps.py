"""What the record of a dive lacks, at the desk: each field asked for, with words on why it is missing."""

from typing import Final

from station.board.law import open_gaps
from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.console.keyboard import key_of
from station.console.typed import of
from station.events import GapExplained
from station.law.asked import Gap
from station.law.keys import heading

INSTEAD: Final = {
    "conditions": "Or Esc, and enter them: key {conditions}.",
    "depth": "Or Esc, and the supervisor declares the depth while the diver is in the water: key {declare}.",
    "sickness": "Or Esc, and enter it: key {duties}.",
    "casualty": "Or Esc, and enter it: key {duties}.",
}
"""What to do instead of explaining, by the table of the record."""


def instead(table: str) -> str:
    """Return what to do instead of explaining a gap in a table of the record, "" for nothing."""
    keys = {action: key_of(action) for action in ("conditions", "declare", "duties")}
    return INSTEAD.get(table, "").format(**keys)


def missing(desk: Desk) -> tuple[Gap, ...]:
    """Return what is asked for on the record of the lane in view, missing, and not explained."""
    return open_gaps(desk.board, desk.board.lanes[desk.lane], desk.watch.clock.now())


async def explain(desk: Desk) -> bool:
    """Ask for words on every gap, one paragraph after another; False when a dialog was left."""
    while found := missing(desk):
        first = [gap for gap in found if gap.asked == found[0].asked]
        if not await _explain(desk, first):
            return False
    return True


async def _explain(desk: Desk, found: list[Gap]) -> bool:
    said = of(GapExplained, "words")
    fields = [Field(_id(gap.key), f"Why missing: {words(gap.key)}", check=said, length=500) for gap in found]
    table = found[0].key.split(".")[0]
    told = f"{found[0].paragraphs} asks for it. {instead(table)}".strip()
    title = f"MISSING ON THE RECORD of lane {desk.lane}: {found[0].what}"
    answers = await desk.ask(f"gap {desk.lane} {found[0].key}", title, fields, told)
    if answers is None:
        return False
    for gap in found:
        stamp = desk.stamp("supervisor", desk.watch.clock.now())
        event = GapExplained(lane=desk.lane, key=gap.key, words=answers[_id(gap.key)], **stamp)
        desk.enter(event, f"explained: {words(gap.key)} missing")
    return True


def words(key: str) -> str:
    """Return a key of the record as people read it: water temperature c, with its table."""
    name = key.split(".")[1].replace("_", " ")
    return f"{name} ({heading(key)})"


def _id(key: str) -> str:
    """Return the name of the field for a key: a dot means something else there."""
    return key.replace(".", "-")
