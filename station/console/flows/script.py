"""A drill's script: stand still, go on, one entry, faster, slower, take over."""

from datetime import datetime

from station.console.desk import Desk
from station.console.drill import DrillControl
from station.console.marks import watch_script
from station.errors import Refusal


def _script(desk: Desk) -> DrillControl:
    control = desk.app.drill
    if control is None:
        raise Refusal("this is no drill: there is no script to play")
    if control.over:
        raise Refusal(f"the script is over: {control.state}")
    return control


async def pause(desk: Desk, _at: datetime) -> None:
    """Stop the drill's clock, or let it go on."""
    desk.say(_script(desk).pause())


async def step(desk: Desk, _at: datetime) -> None:
    """Go to the script's next entry and enter it."""
    played = _script(desk).step()
    desk.say(f"played: {played.due.line.say or played.due.fields.get('kind', '')}")
    watch_script(desk, played.entry)


async def faster(desk: Desk, _at: datetime) -> None:
    """Let the drill's clock run faster."""
    desk.say(_script(desk).faster())


async def slower(desk: Desk, _at: datetime) -> None:
    """Let the drill's clock run slower."""
    desk.say(_script(desk).slower())


async def take_over(desk: Desk, _at: datetime) -> None:
    """End the script; from here on people make the entries, at the clock's own pace."""
    control = _script(desk)
    if await desk.sure("TAKE OVER?", "The script ends here; every further entry is yours, in real time."):
        desk.say(control.take_over())
