"""One registry of actions: each key belongs to one, and each can be reached, seen and read about."""

import ast
import inspect
from typing import TYPE_CHECKING

import pytest
from textual.widgets import OptionList, Static

import station.console.flows as flows_room
from station.board.figures import Phase
from station.console import words, words_ascent
from station.console.actions import ACTIONS, BY_ID, GROUPS
from station.console.flows.looks import PARTS
from station.console.keyboard import both_cases, key_of, key_words, keyless
from station.console.keys import bindings, line_of_keys, shown_keys
from station.console.meanings import WIDEST, meanings
from station.console.panes.ring import NUT_SIGNS

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play

EATEN = {"ctrl+b", "ctrl+a", "ctrl+s", "ctrl+q", "ctrl+z", "ctrl+h", "ctrl+i", "ctrl+j", "ctrl+m", "ctrl+c"}
"""Kept by tmux, screen, flow control, job control, or sent as another key: common practice, no source."""


def test_no_key_stands_for_two_actions() -> None:
    keys = [key for action in ACTIONS for one in action.keys for key in both_cases(one).split(",")]
    assert len(keys) == len(set(keys)), sorted(key for key in keys if keys.count(key) > 1)


ONE_KEY = ("seat.supervisor", "view.supply")
"""Every key that arrives is taken; these two gave theirs to the acknowledging of alarms."""


def test_every_action_has_two_keys_that_arrive_or_stands_in_the_menu() -> None:
    for action in ACTIONS:
        if not action.keys:
            assert action.id in PARTS
            continue
        assert len(set(action.keys)) == (1 if action.id in ONE_KEY else 2), action.id
        assert not EATEN & set(action.keys), action.id
        assert "ctrl+enter" not in action.keys
        assert any(
            (key[0] == "f" and key[1:].isdigit()) or len(key_words(key)) == 1 for key in action.keys
        ) or (action.id in ("step.row", "script.pause", "screen.more", "view.back")), action.id


def test_every_flow_is_reached_by_an_action_and_every_action_has_a_flow() -> None:
    """An orphan would be a thing the console can do and nobody can ask for."""
    import importlib  # noqa: PLC0415 - only here
    import pkgutil  # noqa: PLC0415 - same

    flows = {
        member
        for module in pkgutil.iter_modules(flows_room.__path__, "station.console.flows.")
        for name, member in inspect.getmembers(
            importlib.import_module(module.name), inspect.iscoroutinefunction
        )
        if not name.startswith("_")
        and member.__module__ == module.name
        and [one.lstrip("_") for one in inspect.signature(member).parameters] == ["desk", "at"]
    }
    views = {action.flow for action in ACTIONS if action.flow.__qualname__ == "view.<locals>.show"}
    assert flows | views == {action.flow for action in ACTIONS}
    assert {action.group for action in ACTIONS} == set(GROUPS)


def test_the_menu_holds_every_action_without_a_key_in_the_order_told_of_it() -> None:
    assert tuple(PARTS) == keyless()
    for number, action in enumerate(PARTS, start=1):
        assert key_of(action) == f"Ctrl-P, then {number}"
        assert f"{number} " in BY_ID["screen.more"].help


def test_bindings_are_those_of_the_registry() -> None:
    bound = {f"do('{action.id}')" for action in ACTIONS if action.keys}
    assert {binding.action for binding in bindings()} == bound
    assert [action.id for action in ACTIONS if action.urgent] == ["mark.next", "alarm.acknowledge"]


def names() -> set[str]:
    """Return the names of all lines of a dive, as they stand in the modules that make them."""
    found = set()
    for module in (words, words_ascent):
        for node in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(node, ast.Tuple) and len(node.elts) == 2 and isinstance(node.elts[0], ast.Constant):
                name = node.elts[0].value
                found |= {name.strip()} if isinstance(name, str) and name.isupper() else set()
    return found


def test_f1_tells_what_every_line_of_a_dive_means() -> None:
    told = {one for page in meanings("timekeeper") for line in page[1] for one in line[:WIDEST].split()}
    assert {"NEXT", "SCHEDULE", "HELD?", "FLYING"} <= names()
    assert names() <= told


def test_f1_tells_the_word_of_every_state() -> None:
    """Of a step, of a nut, of a stop."""
    pages = {
        page: " ".join(line for _, lines in meanings(page) for line in lines)
        for page in ("tender", "timekeeper")
    }
    of_a_step = {sign.split()[-1] for sign in words.STATE_SIGNS.values()}
    of_a_nut = {sign[1:].strip() for sign in NUT_SIGNS.values()}
    assert {one for one in of_a_step | of_a_nut if one not in pages["tender"]} == set()
    of_a_stop = {sign.split(maxsplit=1)[-1] for sign in words.STOP_SIGNS.values()} - {"to come", "done"}
    assert {one for one in of_a_stop if one not in pages["timekeeper"]} == set()


PHASES: list[tuple[Phase, str]] = [
    ("dressing", "step.next"),
    ("ready", "mark.next"),
    ("descent", "mark.next"),
    ("bottom", "mark.next"),
    ("ascent", "mark.next"),
    ("stop", "mark.next"),
    ("undressing", "step.next"),
    ("to close", "close"),
    ("closed", "sign"),
]


@pytest.mark.parametrize(("phase", "first"), PHASES)
def test_the_line_of_keys_begins_with_what_comes_next(phase: Phase, first: str) -> None:
    assert line_of_keys(phase, drill=False, lanes=1)[0] is BY_ID[first]


async def test_f1_and_the_search_tell_every_key(make: "Make", keys: "Play") -> None:
    station = make("bottom")
    async with station.app.run_test(size=(120, 40)) as pilot:
        await keys(pilot, "f1")
        shown = " ".join(" ".join(str(one.render()) for one in station.app.screen.query(Static)).split())
        told = [action for action in ACTIONS if action.group != "Drill"]
        assert all(f"{shown_keys(action)} {action.short}: {action.help}" in shown for action in told)
        assert "script" not in shown
        await keys(pilot, "escape")
        assert len(station.app.screen_stack) == 1
        await keys(pilot, "ctrl+p", "1")
        lines = [str(one.prompt) for one in station.app.screen.query_one(OptionList).options]
        assert len(lines) == len(told)
        assert all(action.help in line for action, line in zip(told, lines, strict=True))
