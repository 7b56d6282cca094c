"""Keys of the station file: what is refused and why, and that every text follows when one is changed."""

import ast
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from textual.keys import _character_to_key
from textual.widgets import OptionList, Static

import station.console as room
from station.console import keyboard
from station.console.actions import ACTIONS, BY_ID
from station.console.keyboard import NAMED, both_cases, key_of, keys_of
from station.console.keymap import EATEN, checked_keys, key_name
from station.console.panes.paint import Paint
from station.errors import FileError
from station.setup import StationFile, load_setup

if TYPE_CHECKING:
    from tests.console.conftest import Make, Play, Station

ROOM = Path(room.__file__).parent
README = Path(__file__).parents[2] / "README.md"


@pytest.fixture(autouse=True)
def standard() -> Iterator[None]:
    """Let the standard keys hold again after a test that installs others by hand."""
    yield
    keyboard.install({})


def station_file(keys: Mapping[str, tuple[str, ...]]) -> StationFile:
    """Return the shipped station file with other keys."""
    return StationFile.model_validate({**load_setup().station.model_dump(), "keys": keys})


WRONG: list[tuple[Mapping[str, tuple[str, ...]], str, str]] = [
    ({"mark.nxt": ("f9",)}, "mark.nxt", "no such action; did you mean 'mark.next'?"),
    ({"xyzzy": ("f9",)}, "xyzzy", "no such action; known: "),
    ({"crew": ("questionmark",)}, "crew", "'questionmark': no such key; did you mean 'question_mark'?"),
    ({"crew": ("f13",)}, "crew", "'f13': no such key"),
    ({"crew": ("cc",)}, "crew", "'cc': no such key; a letter, a digit"),
    ({"crew": ("shift+c",)}, "crew", "no such key"),
    ({"crew": ("c", "C")}, "crew", "'c' stands here twice"),
    ({"crew": ("m",)}, "crew", "'m' stands for next mark (mark.next) too"),
    ({"crew": ("M",)}, "crew", "'m' stands for next mark (mark.next) too"),
    ({"crew": ("?",)}, "crew", "'?' stands for keys (keys) too"),
    ({"crew": ("question_mark",)}, "crew", "'?' stands for keys (keys) too"),
    ({"mark.next": ("m", "?"), "keys": ("f1",)}, "mark.next", "must be f1 to f12 or with ctrl"),
    ({"crew": ("enter",)}, "crew", "dialogs and lists are worked by it"),
    *(
        ({"crew": (key,)}, "crew", "dialogs and lists are worked by it")
        for key in ("escape", "tab", "up", "down", "left", "right", "home", "end", "space", "backspace")
    ),
    *(({"crew": (key,)}, "crew", why) for key, why in EATEN.items()),
    ({"crew": ("~",)}, "crew", "SSH takes it"),
]


@pytest.mark.parametrize(("keys", "action", "why"), WRONG, ids=lambda one: str(one)[:40])
def test_what_cannot_be_a_key_is_refused_with_file_key_and_reason(
    keys: Mapping[str, tuple[str, ...]], action: str, why: str
) -> None:
    with pytest.raises(FileError) as caught:
        checked_keys(station_file(keys), "quay.toml")
    assert any(place == f'keys."{action}"' and why in words for place, words in caught.value.problems)
    assert caught.value.message.startswith(f'quay.toml: keys."{action}": ')


def test_every_problem_is_told_at_once() -> None:
    keys = {"mark.nxt": ("f9",), "crew": ("ctrl+b", "m"), "note": ("escape",)}
    with pytest.raises(FileError) as caught:
        checked_keys(station_file(keys), "quay.toml")
    assert {place for place, _ in caught.value.problems} == {f'keys."{action}"' for action in keys}


def test_keys_that_change_places_pass() -> None:
    """A key is taken twice only if it is so after all changes."""
    keys = {"mark.next": ("f9", "K"), "mark.other": ("m", "Ctrl-K"), "pressure": ("F8", "p")}
    assert checked_keys(station_file(keys), "quay.toml") == {
        "mark.next": ("f9", "k"),
        "mark.other": ("m", "ctrl+k"),
        "pressure": ("f8", "p"),
    }


def test_the_standard_keys_pass_their_own_check() -> None:
    assert checked_keys(station_file({one.id: one.keys for one in ACTIONS if one.keys}), "quay.toml")


def test_a_sign_and_its_name_are_the_same_key() -> None:
    """By the names of the terminal library, which takes them from Unicode."""
    for sign, name in NAMED.items():
        assert name == _character_to_key(sign)
        assert key_name(sign) == key_name(name) == name


async def test_other_keys_do_what_they_now_stand_for(make: "Make", keys: "Play") -> None:
    """In both cases, and the old ones do nothing any more."""
    changed = {"mark.next": ("f9", "k"), "mark.other": ("m",), "page.save": ("ctrl+x",), "paper": ("7",)}
    station = make("bottom", keys=changed)
    async with station.app.run_test(size=(80, 24)) as pilot:
        head = station.watch.head
        await keys(pilot, "ctrl+k")
        assert (station.watch.head, len(station.app.screen_stack)) == (head, 1)
        await keys(pilot, "M")
        assert len(station.app.screen_stack) == 2
        await keys(pilot, "escape", "K")
        assert station.kinds(1) == ["mark.taken"]
        await keys(pilot, "ctrl+x")
        assert "SAVED" in station.app.desk.said


def page(station: "Station") -> str:
    """Return everything that stands on the screen that is on top."""
    parts = [str(one.render()) for one in station.app.screen.query(Static)]
    parts += [str(one.prompt) for lines in station.app.screen.query(OptionList) for one in lines.options]
    return "\n".join(parts)


async def test_line_of_keys_f1_search_and_refusals_follow(make: "Make", keys: "Play") -> None:
    changed = {"close": ("ctrl+y",), "who": ("y",), "mark.next": ("f11", "z"), "keys": ("f9",)}
    station = make("bottom", keys=changed)
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        line = station.app.query_one("#keys", Paint).shown
        assert "F11 next mark" in line
        assert "F9 keys" in line
        await keys(pilot, "g")
        assert "the dive closed: key Ctrl-Y" in page(station)
        await keys(pilot, "escape", "f9")
        assert "F11 z          next mark: " in page(station)
        await keys(pilot, "escape", "ctrl+p", "1", *"close")
        assert re.search(r"^close +Ctrl-Y ", page(station), re.MULTILINE)


async def test_keys_that_do_not_fit_keep_nobody_from_a_dive_that_goes_on(make: "Make", keys: "Play") -> None:
    """A journal brings its own station file: the standard keys hold, and the screen says why."""
    station = make("bottom", keys={"mark.next": ("q",)})
    async with station.app.run_test(size=(80, 24)) as pilot:
        await keys(pilot)
        assert "standard keys hold" in station.app.desk.said
        await keys(pilot, "f9")
        assert station.kinds(1) == ["mark.taken"]


async def test_another_screen_has_its_own_keys_again(make: "Make") -> None:
    make("bottom", keys={"crew": ("ctrl+x",), "paper": ("7",)})
    assert key_of("crew") == "Ctrl-X"
    make("bottom")
    assert (keys_of("crew"), key_of("crew")) == (BY_ID["crew"].keys, "c")


def test_a_letter_counts_in_both_cases() -> None:
    assert (both_cases("m"), both_cases("f9"), both_cases("comma")) == ("m,M", "f9", "comma")


def texts() -> Iterator[tuple[Path, str]]:
    """Yield every text in the room that is no docstring; what is filled in stands as {}."""
    for path in sorted(ROOM.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
        parts = {
            id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values
        }
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr):
                yield (
                    path,
                    "".join(str(one.value) if isinstance(one, ast.Constant) else "{}" for one in node.values),
                )
            elif (
                isinstance(node, ast.Constant)
                and isinstance(node.value, str)
                and not {id(node)} & (told | parts)
            ):
                yield path, node.value


HARD = re.compile(r"\bkey [^\s{\w](?!\w)|\bkey \w(?!\w)|\bkey \{[ ,]|\bF\d{1,2}\b|\bCtrl-[A-Z]")
FIXED = {"keyboard.py", "keymap.py"}
"""Where keys themselves are the subject."""


def test_no_text_names_a_key_by_itself() -> None:
    """A key named in a text is asked for with key_of, so that it follows the station file."""
    hard = [f"{path.name}: {text}" for path, text in texts() if path.name not in FIXED and HARD.search(text)]
    assert not hard
    assert all(
        HARD.search(text) for text in ("the crew: key c", "key {, then 5", "see F4", "Ctrl-P", "key 9")
    )


def test_every_key_asked_for_is_that_of_an_action_there_is() -> None:
    asked = {
        name
        for path in ROOM.rglob("*.py")
        for name in re.findall(r"(?:key_of|all_keys|keys_of)\(\s*[\"']([\w.]+)[\"']", path.read_text("utf-8"))
    }
    assert asked
    assert asked <= BY_ID.keys()


def test_the_readme_names_every_action_for_the_station_file() -> None:
    told = set(
        re.findall(r"`([\w.]+)`", README.read_text("utf-8").split("## Keys and looks")[1].split("\n## ")[0])
    )
    assert BY_ID.keys() <= told
