"""Which keys stand for which action now, and how a key is written: the one place that texts take a key from.

It knows neither actions nor flows, so that every text can ask it. The keys are the registry's own, changed by
what the station file says; the application installs that change when it starts.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from string import punctuation
from unicodedata import name

Changes = Mapping[str, Sequence[str]]
"""What the station file changes: the id of an action, and the keys that stand for it instead."""

_OWN_NAMES = {
    "solidus": "slash",
    "reverse_solidus": "backslash",
    "commercial_at": "at",
    "hyphen_minus": "minus",
    "plus_sign": "plus",
    "low_line": "underscore",
}
"""Signs that a terminal library names otherwise than Unicode does."""


def _name_of(sign: str) -> str:
    named = name(sign).lower().replace("-", "_").replace(" ", "_")
    return _OWN_NAMES.get(named, named)


SIGNS: Mapping[str, str] = {_name_of(sign): sign for sign in punctuation} | {
    "space": "Space",
    "enter": "Enter",
    "escape": "Esc",
}
"""How a key that has a name is written on the screen."""
NAMED: Mapping[str, str] = {sign: _name_of(sign) for sign in punctuation}
"""The name of each sign of a keyboard."""
MENU = "screen.more"
"""The action whose list holds the actions without a key of their own."""

_changed: dict[str, tuple[str, ...]] = {}


@lru_cache(maxsize=1)
def _standard() -> Mapping[str, tuple[str, ...]]:
    from station.console.actions import ACTIONS  # noqa: PLC0415 - the actions' flows name keys in their texts

    return {action.id: action.keys for action in ACTIONS}


@lru_cache(maxsize=1)
def keyless() -> tuple[str, ...]:
    """Return the actions without a standard key, in the order in which the menu lists them."""
    return tuple(action for action, keys in _standard().items() if not keys)


def install(changes: Changes) -> None:
    """Let the standard keys hold, but for these."""
    _changed.clear()
    _changed.update({action: tuple(keys) for action, keys in changes.items()})


def keys_of(action: str) -> tuple[str, ...]:
    """Return the keys of an action, none for one that only the menu holds."""
    return _changed.get(action, _standard()[action])


def key_of(action: str) -> str:
    """Return how an action is reached, as it is written in a text: 'c', 'F9', 'Ctrl-P, then 2'."""
    keys = keys_of(action)
    return key_words(keys[0]) if keys else f"{key_of(MENU)}, then {keyless().index(action) + 1}"


def all_keys(action: str) -> str:
    """Return every key of an action as it is written in a list of keys: 'F9 m', 'Ctrl-P 2'."""
    keys = keys_of(action)
    return " ".join(key_words(key) for key in keys) or f"{key_of(MENU)} {keyless().index(action) + 1}"


def key_words(key: str) -> str:
    """Return a key as it is written on the screen."""
    if key in SIGNS:
        return SIGNS[key]
    if key.startswith("ctrl+"):
        rest = key.removeprefix("ctrl+")
        return f"Ctrl-{SIGNS.get(rest, rest.upper())}"
    return key.upper() if len(key) > 1 else key


def both_cases(key: str) -> str:
    """Return a key as a binding takes it: a letter in both cases."""
    return f"{key},{key.upper()}" if len(key) == 1 and key.isalpha() else key
