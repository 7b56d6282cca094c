"""The alarm strip: never scrolls away, most urgent first, sign and word beside every colour."""

from collections.abc import Sequence

from textual.content import Content

from station.board.alarm_sound import states_now
from station.board.figures import Figures
from station.board.state import Board
from station.console.keyboard import key_of
from station.console.panes.paint import Paint
from station.console.words_alarms import standing_lines


class AlarmStrip(Paint):
    """A few lines for alarms; what finds no room is counted in the last of them."""

    def __init__(self) -> None:
        super().__init__(id="alarms")

    def show_fault(self, fault: str) -> None:
        """Paint what is wrong with the console itself, when nothing else is known."""
        self._show([_fault(fault)], (), high=True)

    def show_alarms(
        self, board: Board, now: Figures, faults: Sequence[str], cards: Sequence[str] = ()
    ) -> None:
        """Paint alarms, what is wrong with the console itself above them, open cards in the last line."""
        high = any(alarm.priority == "high" for alarm in now.alarms) or bool(faults)
        lines = [*map(_fault, faults), *standing_lines(board, now.alarms, now.now)]
        unheeded = any(one.acknowledged is None for one in states_now(board.alarms, now.alarms, now.now))
        self._show(lines, cards, high=high, key=f" {key_of('alarm.acknowledge')} ack" if unheeded else "")

    def _show(self, lines: list[Content], cards: Sequence[str], *, high: bool, key: str = "") -> None:
        """Paint lines in the rows there are; what is said at the end of one is never cut off."""
        self.set_class(high, "-high")
        if not lines and not cards:
            self.show("no alarm")
            return
        room, width = max(1, self.size.height - bool(cards)), max(1, self.size.width)
        more = len(lines) - room
        ends = [key, *[""] * len(lines)][: min(len(lines), room)]
        if more > 0:
            ends[-1] = f" (+{more} more){ends[-1]}"
        shown = [_ended(line, end, width) for line, end in zip(lines, ends, strict=False)]
        if cards:
            more_cards = f" (+{len(cards[1:])} more cards)" if cards[1:] else ""
            shown.append(_ended(Content.styled(f" {cards[-1]} ", "bold reverse"), more_cards, width))
        self.show_lines(shown)


def _ended(line: Content, end: str, width: int) -> Content:
    return Content.assemble(line.truncate(max(1, width - len(end)), ellipsis=True), end)


def _fault(words: str) -> Content:
    return Content.styled(f" !!! HIGH console: {words} ", "bold reverse")
