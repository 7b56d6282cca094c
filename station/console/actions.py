"""The one registry of actions: keys, the line of keys, F1 and the command palette are all made from it.

Two keys each. None of them is one that tmux, screen or SSH keeps for itself (ctrl+b, ctrl+a, ctrl+s, ctrl+q,
ctrl+z, the tilde after a new line) or that a terminal sends as another key (ctrl+h, ctrl+i, ctrl+j, ctrl+m).
A letter counts in both cases, so that a caps lock does no harm.
"""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import datetime

from station.board.figures import Phase
from station.console.desk import Desk
from station.console.flows import closing, correct, dive, outfit, screen, script, station

Flow = Callable[[Desk, datetime], Awaitable[None]]

GROUPS = ("Marks and readings", "Outfit", "Station and record", "Screen", "Drill")
DRESSING: frozenset[Phase] = frozenset({"dressing", "ready"})
BELOW: frozenset[Phase] = frozenset({"descent", "bottom", "ascent", "stop"})
AFTER: frozenset[Phase] = frozenset({"undressing"})
ALL: frozenset[Phase] = frozenset()


@dataclass(frozen=True)
class Action:
    """One thing a key does.

    short: its name in the line of keys. phases: when it is shown there. pause_s: a second press within so
    many seconds is a key that bounced or was held down, and is not taken. urgent: works under a dialog too.
    """

    id: str
    group: str
    short: str
    help: str
    keys: tuple[str, str]
    flow: Flow
    phases: frozenset[Phase] = ALL
    pause_s: float = 0.0
    urgent: bool = False

    @property
    def enters(self) -> bool:
        """Whether it puts something on the journal."""
        return self.group not in (SCREEN, DRILL) and self.id not in ("who", "pen")


MARKS, OUTFIT, STATION, SCREEN, DRILL = GROUPS
ACTIONS: tuple[Action, ...] = (
    Action(
        "mark.next",
        MARKS,
        "next mark",
        "take the next expected mark; its time is that of the key press",
        ("f9", "m"),
        dive.next_mark,
        BELOW | {"ready"},
        pause_s=1.0,
        urgent=True,
    ),
    Action(
        "mark.other",
        MARKS,
        "other mark",
        "take another mark that may come now; its time is that of the key press",
        ("k", "ctrl+k"),
        dive.other_mark,
        BELOW,
    ),
    Action(
        "depth", MARKS, "depth", "a depth as read on the pneumofathometer", ("f7", "d"), dive.depth, BELOW
    ),
    Action(
        "pressure",
        MARKS,
        "pressure",
        "a pressure read on the manifold or a bank",
        ("f8", "p"),
        station.pressure,
        BELOW | DRESSING,
    ),
    Action("voice", MARKS, "voice", "a voice check: good or lost", ("v", "comma"), dive.voice, BELOW),
    Action("note", MARKS, "note", "words for the record", ("w", "ctrl+w"), station.note),
    Action(
        "incident",
        MARKS,
        "incident",
        "something went wrong: what, and what was decided",
        ("i", "exclamation_mark"),
        station.incident,
        BELOW,
    ),
    Action(
        "correct",
        MARKS,
        "correct",
        "withdraw an entry or give it another time or figure, with the reason",
        ("e", "ctrl+e"),
        correct.correct,
        BELOW | DRESSING | AFTER,
    ),
    Action(
        "declare",
        MARKS,
        "deeper",
        "supervisor: declare a deeper depth of dive than was read",
        ("greater_than_sign", "ctrl+g"),
        dive.declare,
    ),
    Action(
        "lengthen",
        MARKS,
        "longer",
        "supervisor: take the next longer schedule for a cold or arduous dive",
        ("plus", "ctrl+l"),
        dive.lengthen,
    ),
    Action(
        "step.next",
        OUTFIT,
        "next step",
        "do the first open row: draw, pass, mark as done",
        ("n", "ctrl+n"),
        outfit.next_step,
        DRESSING | AFTER,
        pause_s=0.15,
    ),
    Action(
        "step.row",
        OUTFIT,
        "this row",
        "do the row under the cursor",
        ("enter", "x"),
        outfit.row,
        DRESSING | AFTER,
        pause_s=0.15,
    ),
    Action(
        "step.failed",
        OUTFIT,
        "failed",
        "the inspection item under the cursor did not pass, with a remark",
        ("f", "ctrl+f"),
        outfit.failed,
        DRESSING,
    ),
    Action(
        "nut.next",
        OUTFIT,
        "next nut",
        "mark the next nut that is allowed",
        ("r", "ctrl+r"),
        outfit.next_nut,
        DRESSING,
        pause_s=0.15,
    ),
    Action(
        "nut",
        OUTFIT,
        "nut no.",
        "mark a nut by the number of its stud",
        ("number_sign", "ctrl+u"),
        outfit.nut,
    ),
    Action(
        "hold",
        OUTFIT,
        "hold",
        "supervisor: release a hold that may be released, with the reason",
        ("h", "asterisk"),
        outfit.hold,
    ),
    Action("pen", OUTFIT, "tender", "the outfit's entries by the next tender", ("s", "at"), station.pen),
    Action("crew", STATION, "crew", "who is here, with which duties", ("c", "ctrl+t"), station.crew),
    Action(
        "conditions",
        STATION,
        "conditions",
        "conditions under water and on the surface",
        ("u", "ampersand"),
        station.conditions,
    ),
    Action("plan", STATION, "new dive", "plan a dive: opens a lane", ("b", "equals_sign"), station.plan),
    Action(
        "who", STATION, "who acts", "who makes which entries at this screen", ("y", "ctrl+y"), station.who
    ),
    Action(
        "close",
        STATION,
        "close",
        "supervisor: close the dive; its record can then be signed",
        ("z", "f11"),
        closing.close,
        frozenset({"to close"}),
    ),
    Action(
        "sign",
        STATION,
        "sign",
        "sign the record of a closed dive; makes a key for who has none",
        ("g", "f12"),
        closing.sign,
        frozenset({"closed"}),
    ),
    Action(
        "view.outfit",
        SCREEN,
        "outfit",
        "order of inspection and dressing, ring of studs",
        ("f2", "o"),
        screen.outfit,
    ),
    Action("view.dive", SCREEN, "dive", "times, depths, schedule, stops", ("f3", "t"), screen.dive),
    Action("view.supply", SCREEN, "air", "gauges, minimum, margin, minutes left", ("f4", "a"), screen.supply),
    Action(
        "view.journal",
        SCREEN,
        "journal",
        "every entry; Enter or e on a line corrects it",
        ("f5", "j"),
        screen.journal,
    ),
    Action("lane.next", SCREEN, "lane", "the next diver's lane", ("f6", "l"), screen.next_lane),
    Action("keys", SCREEN, "keys", "what every key does", ("f1", "question_mark"), screen.keys),
    Action("leave", SCREEN, "leave", "leave the console, after a question", ("q", "f10"), screen.leave),
    Action(
        "script.pause",
        DRILL,
        "pause",
        "the drill's clock stands still, or goes on",
        ("space", "0"),
        script.pause,
    ),
    Action(
        "script.step",
        DRILL,
        "step",
        "go to the script's next entry and enter it",
        ("1", "full_stop"),
        script.step,
    ),
    Action(
        "script.slower",
        DRILL,
        "slower",
        "the drill's clock runs slower",
        ("2", "left_square_bracket"),
        script.slower,
    ),
    Action(
        "script.faster",
        DRILL,
        "faster",
        "the drill's clock runs faster",
        ("3", "right_square_bracket"),
        script.faster,
    ),
    Action(
        "script.take",
        DRILL,
        "take over",
        "end the script and make every entry yourself",
        ("9", "ctrl+o"),
        script.take_over,
    ),
)
BY_ID = {action.id: action for action in ACTIONS}
