"""What changes only the screen: views, lanes, help, leaving."""

from datetime import datetime

from station.console.action import Flow
from station.console.desk import Desk
from station.console.keyboard import key_of
from station.errors import Refusal


def view(name: str) -> Flow:
    """Return what shows a seat or a page."""

    async def show(desk: Desk, _at: datetime) -> None:
        desk.app.show_view(name)

    return show


async def back(desk: Desk, _at: datetime) -> None:
    """Go back to the seat of this screen."""
    desk.app.show_view(desk.app.seat)


async def next_lane(desk: Desk, _at: datetime) -> None:
    """Bring the next lane into view."""
    lanes = list(desk.board.lanes)
    if not lanes:
        raise Refusal("no dive is planned yet", [f"a dive to begin: key {key_of('plan')}"])
    at = lanes.index(desk.lane) if desk.lane in lanes else -1
    desk.lane = lanes[(at + 1) % len(lanes)]
    desk.say(f"lane {desk.lane} in view: {desk.board.name(desk.board.lanes[desk.lane].plan.diver)}")


async def keys(desk: Desk, _at: datetime) -> None:
    """Show what every key does."""
    await desk.app.show_keys()


async def leave(desk: Desk, _at: datetime) -> None:
    """Leave the console, asked once, and twice with a diver in the water."""
    below = [desk.board.name(lane.plan.diver) for lane in desk.board.lanes.values() if lane.in_water]
    words = "Everything entered is on the journal; 'station open' goes on from here."
    if desk.board.opened is not None and desk.board.opened.drill:
        words = "Everything entered is on the journal. A drill is not gone on with: it ends here."
    if not await desk.sure("LEAVE THE CONSOLE?", words):
        return
    if below and not await desk.sure(
        "A DIVER IS IN THE WATER",
        f"{' and '.join(below)} in the water: the dive goes on, but no clock and no alarm is shown. "
        "Leave all the same?",
    ):
        return
    desk.app.exit(0)
