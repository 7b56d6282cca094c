"""Emergency cards at the desk: opening one, working with it while its clocks run, offering one."""

from datetime import datetime

from station.board.after import OpenCard, open_cards
from station.board.ascent_figures import OMITTED, omitted_lines
from station.board.facts import live
from station.console.desk import Desk
from station.console.dialogs.card import CardScreen, CardWords
from station.console.dialogs.fields import Field
from station.console.keyboard import key_of
from station.console.typed import of
from station.console.words_ascent import clock_words
from station.dive.text import depth_text, mmss
from station.events import CardClosed, CardDecided, CardOpened
from station.moments import clock_time


async def open_card(desk: Desk, card: str, at: datetime) -> None:
    """Open a card of the lane in view: its clocks run from then on; show it."""
    desk.enter(CardOpened(lane=desk.lane, card=card, **desk.stamp("supervisor", at)), "card opened")
    await work_card(desk, card)


async def work_card(desk: Desk, card: str) -> None:
    """Show an open card until it is left or closed."""
    lane = desk.lane
    while (found := _found(desk, lane, card)) is not None:
        answer = await desk.app.push_screen_wait(CardScreen(lambda: _words(desk, lane, card)))
        at, title = desk.watch.clock.now(), found.card.title
        if answer is None:
            if _found(desk, lane, card) is not None:
                desk.say(f"card {title}: stays open; key {key_of('card')} shows it")
            return
        label = "What was decided, and by whom" if answer == "decide" else "How it ended"
        model = CardDecided if answer == "decide" else CardClosed
        fields = [Field("text", label, check=of(model, "text"), length=2000)]
        answers = await desk.ask(f"card {lane} {card} {answer}", f"{title}: {label.lower()}", fields)
        if answers is None:
            continue
        event = model(lane=lane, card=card, text=answers["text"], **desk.stamp("supervisor", at))
        desk.enter(event, f"card {title} {'decision' if answer == 'decide' else 'closed'}")


async def offer_omitted(desk: Desk, at: datetime) -> None:
    """Offer the card of omitted decompression once for each stop that was left early or passed."""
    lane = desk.board.lanes[desk.lane]
    early = live(desk.board, lane, desk.watch.clock.now()).early
    missed = {(desk.lane, line.depth) for line in early} - desk.offered
    if not missed or any(opened.card == OMITTED for opened in lane.open_cards):
        return
    desk.offered |= missed
    unit = desk.board.setup.tables.unit
    told = [f"{depth_text(line.depth, unit)}: {mmss(line.missing_s)} missing" for line in early]
    if await desk.sure("A STOP WAS LEFT EARLY: OPEN THE CARD OMITTED DECOMPRESSION?", "; ".join(told)):
        await open_card(desk, OMITTED, max(at, desk.watch.clock.now()))


def _found(desk: Desk, lane: int, card: str) -> OpenCard | None:
    now = desk.watch.clock.now()
    return next(
        (one for one in open_cards(desk.board, desk.board.lanes[lane], now) if one.card.id == card), None
    )


def _words(desk: Desk, lane: int, card: str) -> CardWords | None:
    found = _found(desk, lane, card)
    if found is None:
        return None
    lines = [
        f"{number}. {step.words} ({step.source})" for number, step in enumerate(found.card.steps, start=1)
    ]
    if card == OMITTED:
        one = desk.figures_of(lane)
        unit, now = desk.board.setup.tables.unit, desk.watch.clock.now()
        lines += omitted_lines(one.lane, one.dive, unit, now)
    lines.append(found.card.lines[-1])
    lines += [
        f"{clock_time(one.at)} DECIDED: {one.text} - {desk.board.name(one.by)}" for one in found.decided
    ]
    since = f"{found.card.title.upper()}, lane {lane}, open since {clock_time(found.opened.at)}"
    return CardWords(since, found.card.when, [clock_words(clock) for clock in found.clocks], lines)
