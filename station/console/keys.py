"""Keys: how they are bound, how they are written, which of them are worth showing now."""

from textual.binding import Binding

from station.board.figures import Phase
from station.console.actions import ACTIONS, BY_ID, DRILL, Action
from station.console.keyboard import all_keys, both_cases, keys_of

FIRST = ("mark.next", "step.next", "close", "sign", "card", "place", "depth", "pressure", "voice")
"""What stands first in the line of keys, in this order, where it is of use."""


def shown_keys(action: Action) -> str:
    """Return the keys of an action that hold now, as they are written on the screen."""
    return all_keys(action.id)


def bindings() -> list[Binding]:
    """Return the bindings of every action to the keys that hold now.

    They come before those of the widgets, so that keys are taken in the order in which they were pressed,
    however fast; the application says no to them while a dialog is open.
    """
    return [
        Binding(
            both_cases(key),
            f"do('{action.id}')",
            action.short,
            show=False,
            priority=True,
            tooltip=action.help,
        )
        for action in ACTIONS
        for key in keys_of(action.id)
    ]


def line_of_keys(phase: Phase | None, *, drill: bool, lanes: int, chamber: bool = False) -> list[Action]:
    """Return the actions worth showing now, the most urgent first; `chamber`: its marks are to come."""
    if drill:
        shown = [action for action in ACTIONS if action.group == DRILL]
    elif phase is None:
        shown = [BY_ID[one] for one in ("crew", "conditions", "plan")]
    else:
        shown = [action for action in ACTIONS if phase in action.phases]
        shown.sort(key=lambda action: FIRST.index(action.id) if action.id in FIRST else len(FIRST))
    if phase in ("closed", "signed", "called off") and not drill:
        shown.append(BY_ID["plan"])
    if chamber and not drill:
        shown = [BY_ID["mark.next"], BY_ID["chamber"], *(one for one in shown if one.id != "mark.next")]
    if lanes > 1:
        shown.insert(1, BY_ID["lane.next"])
    return shown
