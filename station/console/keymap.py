"""The `[keys]` of a station file, checked against the actions there are; every problem is told at once."""

import difflib
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping

from station.console.actions import ACTIONS, BY_ID
from station.console.keyboard import NAMED, SIGNS, Changes, install, key_words
from station.errors import FileError
from station.files import Problem
from station.setup import Setup, StationFile

Keys = dict[str, tuple[str, ...]]

EATEN: Mapping[str, str] = {
    "ctrl+a": "screen keeps it for itself",
    "ctrl+b": "tmux keeps it for itself",
    "ctrl+c": "a terminal interrupts by it",
    "ctrl+s": "a terminal stops its output by it",
    "ctrl+q": "a terminal starts its output again by it",
    "ctrl+z": "a shell puts the program to sleep by it",
    "ctrl+h": "a terminal sends it as Backspace",
    "ctrl+i": "a terminal sends it as Tab",
    "ctrl+j": "a terminal sends it as Enter",
    "ctrl+m": "a terminal sends it as Enter",
    "tilde": "SSH takes it for itself after a new line",
}
"""Keys that do not arrive: common practice, no source."""
LIVED_ON = frozenset(
    {"escape", "tab", "shift+tab", "enter", "space", "backspace", "delete", "insert"}
    | {"up", "down", "left", "right", "home", "end", "pageup", "pagedown"}
)
"""Keys by which dialogs and lists are worked."""
_FUNCTION = re.compile(r"f([1-9]|1[0-2])")
_CONTROL = re.compile(r"ctrl\+([a-z]|underscore)")
_PLAIN = re.compile(r"[a-z0-9]")


def key_name(written: str) -> str:
    """Return the name of a key from its sign or its name, in either case: '?', 'question_mark', 'F9', 'M'."""
    return NAMED.get(written, written.strip().lower().replace("ctrl-", "ctrl+"))


def checked_keys(station: StationFile, name: str) -> Keys:
    """Return the keys that a station file changes, by action; `name` is shown as the file.

    Raises:
        FileError: with the station file, the key of every problem, and its reason.

    """
    changes = station.keys
    keys = {action: tuple(key_name(key) for key in written) for action, written in changes.items()}
    problems = [*_unknown(keys), *_unfit(changes), *_silent(keys)]
    problems += _taken_twice(keys)
    if problems:
        raise FileError(name, problems)
    return keys


def _place(action: str) -> str:
    return f'keys."{action}"'


def _unknown(keys: Keys) -> Iterator[Problem]:
    for action in keys:
        if action not in BY_ID:
            near = difflib.get_close_matches(action, BY_ID, n=1)
            hint = f"; did you mean '{near[0]}'?" if near else f"; known: {', '.join(sorted(BY_ID))}"
            yield _place(action), f"no such action{hint}"


def _unfit(changes: Changes) -> Iterator[Problem]:
    for action, written in changes.items():
        standard = BY_ID[action].keys if action in BY_ID else ()
        for key in written:
            if why := _why_unfit(key_name(key), standard):
                yield _place(action), f"'{key}': {why}"
        names = [key_name(key) for key in written]
        if len(set(names)) < len(names):
            yield _place(action), f"'{written[0]}' stands here twice"


def _why_unfit(key: str, standard: tuple[str, ...]) -> str:
    if key in standard:
        return ""
    if key in EATEN:
        return f"{EATEN[key]}; take another key"
    if key in LIVED_ON:
        return "dialogs and lists are worked by it; take another key"
    known = _FUNCTION.fullmatch(key) or _CONTROL.fullmatch(key) or _PLAIN.fullmatch(key) or key in SIGNS
    if known:
        return ""
    near = difflib.get_close_matches(key, SIGNS, n=1)
    return (
        f"no such key; did you mean '{near[0]}'?"
        if near
        else ("no such key; a letter, a digit, a sign such as '?', 'f1' to 'f12', or 'ctrl+k'")
    )


def _silent(keys: Keys) -> Iterator[Problem]:
    """Yield where the key that takes a mark would be lost while words are typed."""
    for action, names in keys.items():
        urgent = action in BY_ID and BY_ID[action].urgent
        if urgent and all(len(key) == 1 or key in SIGNS for key in names):
            yield (
                _place(action),
                "one of its keys must be f1 to f12 or with ctrl: it is taken under a dialog too",
            )


def _taken_twice(keys: Keys) -> list[Problem]:
    """Return where a key stands for two actions, after every change."""
    users: defaultdict[str, list[str]] = defaultdict(list)
    for one in ACTIONS:
        for key in dict.fromkeys(keys.get(one.id, one.keys)):
            users[key].append(one.id)
    problems = []
    for key, actions in users.items():
        for action in actions:
            others = [f"{BY_ID[other].short} ({other})" for other in actions if other != action]
            if others and action in keys:
                problems.append((_place(action), f"'{key_words(key)}' stands for {' and '.join(others)} too"))
    return problems


def use_keys(setup: Setup) -> str:
    """Let the keys of the station file hold, else the standard ones; return what is wrong with the former.

    A journal that is gone on with brings its own station file: no dive is kept from its console by a key.
    """
    try:
        keys, fault = checked_keys(setup.station, setup.uses[0].name), ""
    except FileError as error:
        keys, fault = {}, f"standard keys hold, those of the station file do not fit: {error.message}"
    install(keys)
    return fault
