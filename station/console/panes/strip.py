"""The alarm strip: never scrolls away, most urgent first, sign and word beside every colour."""

from collections.abc import Sequence

from textual.content import Content

from station.board.alarms import Alarm
from station.console.panes.paint import Paint, joined

STYLES = {"high": "bold reverse", "medium": "bold", "low": ""}


class AlarmStrip(Paint):
    """A few lines for alarms; what finds no room is counted in the last of them."""

    def __init__(self) -> None:
        super().__init__(id="alarms")

    def show_alarms(self, alarms: Sequence[Alarm], faults: Sequence[str], cards: Sequence[str] = ()) -> None:
        """Paint alarms, what is wrong with the console itself above them, open cards in the last line."""
        lines = [Content.styled(f" !!! HIGH console: {fault} ", "bold reverse") for fault in faults]
        lines += [Content.styled(f" {alarm.text} ", STYLES[alarm.priority]) for alarm in alarms]
        self.set_class(any(alarm.priority == "high" for alarm in alarms) or bool(faults), "-high")
        if not lines and not cards:
            self.show("no alarm")
            return
        room = max(1, self.size.height - bool(cards))
        if len(lines) > room:
            more = len(lines) - room
            lines = lines[:room]
            lines[-1] = Content.assemble(lines[-1], f" (+{more} more)")
        if cards:
            more_cards = f" (+{len(cards[1:])} more cards)" if cards[1:] else ""
            lines.append(Content.styled(f" {cards[-1]}{more_cards} ", "bold reverse"))
        self.show(joined(line.truncate(max(1, self.size.width), ellipsis=True) for line in lines))
