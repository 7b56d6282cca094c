"""What is rarely wanted of the screen, behind one key: find an action, save or copy the page, its look."""

from datetime import datetime
from typing import Final

from station.console.action import Flow
from station.console.desk import Desk
from station.console.dialogs.find import Find, Found
from station.console.keyboard import key_of
from station.console.page_text import page_lines, page_text
from station.console.themes import LOOKS, look_now, need_colour, use_look

COPIED_MOST: Final = 74_000
"""Bytes that every terminal known to take a copy takes; from memory."""


async def more(desk: Desk, at: datetime) -> None:
    """Choose one of the things that have no key of their own."""
    options = [(one, words) for one, (words, _) in PARTS.items()]
    chosen = await desk.choose("MORE: the screen", options)
    if chosen is not None:
        await PARTS[chosen][1](desk, at)


async def find(desk: Desk, _at: datetime) -> None:
    """Find an action by a word and do it; its time is that of the Enter that chose it."""
    things = [Found(one.id, one.short, keys, one.help) for one, keys in desk.app.offered()]
    chosen = await desk.app.push_screen_wait(Find("FIND WHAT TO DO", things))
    if chosen is not None:
        desk.app.call_later(desk.app.action_do, chosen)


async def save(desk: Desk, _at: datetime) -> None:
    """Write the page on the screen to a file in the station's folder, and say where."""
    lines = page_lines(desk.app.screen_stack[0])
    path = desk.save_page(desk.app.page_name, lines)
    desk.say(f"SAVED {path.name}, {len(lines)} lines, in {path.parent}")


async def copy(desk: Desk, _at: datetime) -> None:
    """Put the page on the screen on the clipboard of the terminal, which may take it or not."""
    now, name = desk.watch.clock.now(), desk.app.page_name
    text = page_text(name, now, page_lines(desk.app.screen_stack[0]))
    desk.app.copy_to_clipboard(text)
    long = ", and this page is long for one" if len(text.encode()) * 4 // 3 > COPIED_MOST else ""
    sure = f"sure is: save, {key_of('page.save')}"
    desk.say(f"COPIED {name}, if the terminal takes copies{long}; {sure}")


async def look(desk: Desk, _at: datetime) -> None:
    """Choose another look of the screen, until it is left."""
    need_colour()
    options = [
        (one, f"{words}{' (now)' if one == look_now(desk.app) else ''}") for one, words in LOOKS.items()
    ]
    chosen = await desk.choose("How the screen looks", options)
    for one in LOOKS:
        if one == chosen:
            use_look(desk.app, one)
            desk.say(f'looks {one} until you leave; for good: theme = "{one}" in the station file')


PARTS: Final[dict[str, tuple[str, Flow]]] = {
    "find": ("find an action by a word, and do it", find),
    "page.save": ("save this page to a file in the station's folder", save),
    "page.copy": ("copy this page to the clipboard of the terminal", copy),
    "theme": ("dark, light or high contrast", look),
}
"""What stands behind the key: what each is, and what does it."""
