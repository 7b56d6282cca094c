"""The emergency cards of the lane in view."""

from datetime import datetime

from station.console.cards import open_card, work_card
from station.console.desk import Desk
from station.errors import Refusal


async def card(desk: Desk, at: datetime) -> None:
    """Show an open card, or open one: its clocks run from the key press."""
    one = desk.lane_now()
    if one.lane.over:
        raise Refusal(f"lane {one.lane.number}: the dive is over; what comes after goes on its record")
    opened = {found.card.id: found for found in one.cards}
    options = [(found.card.id, f"OPEN: {found.card.title}") for found in one.cards]
    options += [
        (known.id, f"{known.title}: {known.when}")
        for known in desk.board.setup.cards.cards
        if known.id not in opened
    ]
    chosen = await desk.choose(f"Emergency card for lane {desk.lane}", options)
    if chosen in opened:
        await work_card(desk, chosen)
    elif chosen is not None:
        await open_card(desk, chosen, at)
