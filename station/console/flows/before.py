"""What lies before the dive of the lane in view."""

from datetime import datetime

from station.console.before import settle
from station.console.desk import Desk


async def earlier(desk: Desk, _at: datetime) -> None:
    """Show and settle earlier dives, how they count, and the arrival at altitude."""
    desk.lane_in_hand()
    await settle(desk)
