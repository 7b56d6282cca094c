"""Keys: how they are bound, how they are written, which of them are worth showing now."""

from textual.binding import Binding

from station.board.figures import Phase
from station.console.actions import ACTIONS, BY_ID, DRILL, Action

FIRST = ("mark.next", "step.next", "close", "sign", "card", "place", "depth", "pressure", "voice")
"""What stands first in the line of keys, in this order, where it is of use."""
_SIGNS = {
    "comma": ",",
    "full_stop": ".",
    "minus": "-",
    "underscore": "_",
    "slash": "/",
    "vertical_line": "|",
    "backslash": "\\",
    "apostrophe": "'",
    "quotation_mark": '"',
    "semicolon": ";",
    "colon": ":",
    "dollar_sign": "$",
    "percent_sign": "%",
    "circumflex_accent": "^",
    "left_parenthesis": "(",
    "right_parenthesis": ")",
    "exclamation_mark": "!",
    "greater_than_sign": ">",
    "less_than_sign": "<",
    "right_curly_bracket": "}",
    "plus": "+",
    "number_sign": "#",
    "asterisk": "*",
    "at": "@",
    "ampersand": "&",
    "equals_sign": "=",
    "question_mark": "?",
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "left_curly_bracket": "{",
    "space": "Space",
    "enter": "Enter",
}


def shown_keys(action: Action) -> str:
    """Return both keys of an action as they are written on the screen."""
    return " ".join(key_words(key) for key in action.keys)


def key_words(key: str) -> str:
    """Return a key as it is written on the screen."""
    if key in _SIGNS:
        return _SIGNS[key]
    if key.startswith("ctrl+"):
        return f"Ctrl-{key[-1].upper()}"
    return key.upper() if len(key) > 1 else key


def both_cases(key: str) -> str:
    """Return a key as a binding takes it: a letter in both cases."""
    return f"{key},{key.upper()}" if len(key) == 1 and key.isalpha() else key


def bindings() -> list[Binding]:
    """Return the bindings of every action, each with both of its keys.

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
        for key in action.keys
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
