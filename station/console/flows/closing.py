"""The end of a dive: closing the lane. Its record is signed after that."""

from datetime import datetime

from station.console.desk import Desk
from station.console.dialogs.fields import Field
from station.console.gaps import explain
from station.console.keyboard import key_of
from station.console.typed import TO_COME, of
from station.events import DiveClosed


async def close(desk: Desk, at: datetime) -> None:
    """Close the lane, once every gap of its record has words; from then on its record can be signed."""
    found = desk.lane_now()
    if found.phase == "to close" and not await explain(desk):
        return

    def closed(condition: str, remarks: str) -> DiveClosed:
        stamp = desk.stamp("supervisor", at)
        return DiveClosed(lane=desk.lane, condition_after=condition, remarks=remarks or None, **stamp)

    desk.watch.check(closed(TO_COME, ""))  # nobody types for a dive that cannot be closed yet
    fields = [
        Field(
            "condition",
            "Condition of the diver after the dive",
            check=of(DiveClosed, "condition_after"),
            length=500,
        ),
        Field("remarks", "Remarks", check=of(DiveClosed, "remarks"), optional=True, length=1000),
    ]
    answers = await desk.ask("close", f"Close the dive of lane {found.lane.number}", fields)
    if answers is None:
        return
    event = closed(answers["condition"], answers["remarks"])
    desk.enter(event, f"lane {desk.lane} closed; key {key_of('sign')} signs its record")
