"""A whole dive by somebody who never saw the console: every key pressed stands on the screen at that moment.

Real journal, real clock, 80 x 24. What to do next is read from the screen too; only what is typed into fields
is brought along, as a crew brings the numbers on its gear.
"""

import re
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.e2e.conftest import Start, Terminal

pytestmark = pytest.mark.tmux
NAMED = {"Esc": "Escape", "PgDn": "PageDown"}
SAME_KEY_S, ENTER_S = 0.16, 0.27
"""No finger is faster on the same key: presses 0.15 s apart count as one, an Enter in a panel 0.25 s."""
PASSPHRASE = "cold water, warm tea"
HELP = "KEYS AND WHAT STANDS HERE"
DIALOG = re.compile(r"^╭─+╮\n│ (\S[^│]*?) *│", re.MULTILINE)
PEOPLE = {
    "Ada Brook": "supervisor",
    "Ben Rowe": "timekeeper",
    "Cal Wren": "tender",
    "Dov Marsh": "tender",
    "Eli Stone": "diver",
}
STATION = """format = "station/1"
name = "Sill station"
place = "not yet named"
altitude_ft = 0

[files]
outfit = "outfits/deep-sea.toml"
tables = "tables/usn-rev7-air.toml"
supply = "supply/deep-sea-air.toml"

[signing]
required = ["timekeeper", "supervisor"]
"""


def shown(screen: str, label: str) -> str | None:
    """Return the key beside a label: in the dialog if one is open, else in the last line or by the alarms."""
    lines, words = screen.rstrip("\n").splitlines(), re.escape(label)
    box = [line.strip("│ ") for line in lines if line.startswith("│")]
    if not any(line.startswith("╰") for line in lines):
        lasts = (line.rstrip() for line in (lines[-1], *lines[2:4]))
        found = next(filter(None, (re.search(rf"(?:^| )(\S+) {words}(?=  |$)", one) for one in lasts)), None)
        return found[1] if found else None
    if "digit" in box[-1] or "a key above" in box[-1]:
        for line in box[:-1]:
            numbered = rf"(?:^| {{3}})(\d)(?:\[.\] | ).*{words}"
            named = rf"(?:^| {{3}})(\w)(?: or \w)? {words}(?= {{3}}|$)"
            if own := re.search(named, line) or re.search(numbered, line):
                return own[1]
    found = re.search(rf"(?:^| {{3}})(?:\S+[/,] ?)*([^/\s:]+)(?: or \S+)?:? {words}", box[-1])
    return found[1] if found else None


def test_only_what_stands_there_is_found() -> None:
    bare = "\n\n ! LOW no date on record ` ack\n\n n next step  F8 pressure  F1 keys\n"
    assert [shown(bare, label) for label in ("next step", "keys", "ack")] == ["n", "F1", "`"]
    assert [shown(bare, label) for label in ("sign", "date on record", "back")] == [None] * 3
    keys = "│ Enter next   Esc leave   Left/Right or digit choose │"
    dialog = f"{bare}╭──╮\n│ Duties   1[ ] tender │\n│ 2[ ] diver │\n{keys}\n╰──╯"
    assert [shown(dialog, label) for label in ("tender", "diver", "leave")] == ["1", "2", "Esc"]
    assert shown(dialog, "next step") is None


class Person:
    """Looks, and presses only what stands on the screen."""

    def __init__(self, terminal: "Terminal") -> None:
        self.terminal = terminal
        self._last = ("", 0.0)

    def see(self, pattern: str) -> str:
        """Look until a pattern stands on the screen."""
        return self.terminal.wait(pattern)

    def press(self, label: str) -> None:
        """Press the key beside a label, or the one that F1 names for it."""
        key = self._key(label)
        if key is None:
            self._hit(self._key("keys") or self._lost(label))
            key = self._in_help(label)
            self.press("back")
            self.terminal.gone(HELP)
        self._hit(key)

    def fill(self, **typed: str) -> None:
        """Type into the fields of a dialog, one after another, each under its caption."""
        for caption, words in typed.items():
            self.see(rf"^│ {caption.replace('_', ' ')}")
            if words:
                self.terminal.type(words)
                self._last = ("", 0.0)
            self.press("next")

    def choose(self, label: str, option: str) -> None:
        """Press a key, wait for the dialog that it opens, and press the key of one of its options."""
        self.press(label)
        self.see(rf"^│.*{re.escape(option)}")
        self.press(option)

    def take(self, label: str, said: str) -> None:
        """Press a key and read that it was taken."""
        self.press(label)
        self.see(rf"^ TAKEN .*{said}")

    def _key(self, label: str) -> str | None:
        """Look for a key a moment: a screen is painted line by line."""
        end = time.monotonic() + 0.3
        while (key := shown(self.terminal.screen(), label)) is None and time.monotonic() < end:
            pass
        return key

    def _in_help(self, label: str) -> str:
        """Read F1, page by page, until a label stands there."""
        screen, before = self.see(HELP), ""
        while screen != before:
            if found := re.search(rf"^│ (\S+)(?: \S+)? +{re.escape(label)}: ", screen, re.MULTILINE):
                return found[1]
            self.press("scroll")
            before, screen = screen, self._other(screen)
        return self._lost(label)

    def _other(self, screen: str) -> str:
        """Look until the screen is another, for a moment: at its end a page scrolls no further."""
        end = time.monotonic() + 1
        while (now := self.terminal.screen()) == screen and time.monotonic() < end:
            pass
        return now

    def _lost(self, label: str) -> str:
        raise AssertionError(f"no key for '{label}' on the screen\n{self.terminal.screen()}")

    def _hit(self, key: str) -> None:
        least = ENTER_S if key == "Enter" else SAME_KEY_S
        while self._last[0] == key and time.monotonic() - self._last[1] < least:
            pass
        self.terminal.keys(NAMED.get(key, key.replace("Ctrl-", "C-")))
        self._last = (key, time.monotonic())


def station_file(folder: Path) -> Path:
    """Write the station's file, its people in it."""
    people = (
        f'[[people]]\nid = "{name.lower().replace(" ", "-")}"\nname = "{name}"\nroles = ["{role}"]\n'
        for name, role in PEOPLE.items()
    )
    path = folder / "sill.toml"
    path.write_text("\n".join([STATION, *people]), encoding="utf-8")
    return path


def begin(person: Person) -> None:
    person.see("BEFORE YOU GO ON")
    person.press("back")
    person.press("conditions")
    person.fill(Visibility="10 ft", Water_temperature="11", Current="none", Surface_and_weather="calm")
    person.see("TAKEN .*conditions noted")
    person.press("new dive")
    person.fill(Diver="", Tenders="", Planned_depth="30", Planned_bottom_time="10", Work="Look at the sill")
    person.see("TAKEN .*lane 1 planned for Eli Stone")


def draw(person: Person, dialog: str, number: int) -> None:
    """Draw a piece: own number, the number stamped on the set, the day of a test, as it is asked for."""
    person.fill(Own_number=f"P-{number}")
    if "Set number" in dialog:
        person.fill(Set_number="" if re.search(r"Set number.* 27 ", dialog) else "27")
    if "Day of its" in dialog:
        person.fill(Day_of_its=f"{datetime.now(UTC):%Y-%m-%d}")


def do_next(person: Person, number: int) -> None:
    """Do the next step as the screen tells it."""
    terminal = person.terminal
    before = terminal.screen()
    if "waits for: air on and its supply pressure read" in before:
        person.choose("pressure", "Manifold")
        person.fill(Pressure="150")
    else:
        person.press("next step")
        terminal.until(
            lambda: DIALOG.search(terminal.screen()) or said(terminal.screen()) != said(before),
            "nothing came of it",
        )
        dialog = terminal.screen()
        if title := DIALOG.search(dialog):
            answer_step(person, title[1], dialog, number)
    terminal.until(lambda: answered(terminal.screen(), before), "nothing was taken")


def said(screen: str) -> str:
    """Return the line that says what was taken last."""
    return screen.splitlines()[-3]


def answered(screen: str, before: str) -> bool:
    """Whether a step was taken and the next one stands there, a nut was marked, or a press did not count."""
    now, again = said(screen), "taken for one press" in said(screen)
    if now == said(before) or not (again or now.startswith(" TAKEN")):
        return False
    if again or " nut " in now:
        return True
    done = re.match(r" TAKEN \S+ (?:done|passed|drawn): (.*)", now)
    if done is None:
        return to_do(screen) not in ("", to_do(before))
    title = to_do(screen).removeprefix("NEXT: ")[:45]  # a screen is painted line by line: still the old one?
    return bool(title) and not done[1].startswith(title)


def to_do(screen: str) -> str:
    """Return what the screen says is to be done next."""
    found = re.search(r"^ (NEXT: .*|READY TO DIVE)", screen, re.MULTILINE)
    return found[1].rstrip() if found else ""


def answer_step(person: Person, title: str, dialog: str, number: int) -> None:
    if title.startswith("Draw: "):
        draw(person, dialog, number)
    else:
        person.press("yes" if "Enter yes" in dialog else "next")


def work(person: Person, until: str) -> None:
    """Do one step after the other until something else is to be done."""
    number = 0
    while not re.search(until, to_do(person.terminal.screen())):
        number += 1
        do_next(person, number)


def dive(person: Person) -> None:
    """Take notice of the alarms and the marks as they come, a depth, a voice check, a pressure between."""
    person.press("ack")
    person.see("ALARMS: take notice")
    person.press("all")
    person.see("TAKEN .*alarm acknowledged")
    person.take("next mark", "left surface - Ben Rowe")
    person.see("BOTTOM TIME[^\\0]*NEXT REACHED BOTTOM")
    person.choose("voice", "good")
    person.see("TAKEN .*voice good")
    person.take("next mark", "reached bottom")
    person.press("depth")
    person.fill(Depth_as_read="28")
    person.see("READ IT ONCE MORE")  # no diver is so deep in these few seconds
    person.press("yes")
    person.see("TAKEN .*depth read 28 fsw")
    person.choose("pressure", "Bank 1")
    person.fill(Pressure="2800")
    person.see("TAKEN .*Bank 1 2800 psig[^\\0]*next mark")
    person.see("NEXT LEFT BOTTOM, due")
    person.take("next mark", "left bottom")
    person.see("NEXT REACHED SURFACE, due")
    person.choose("voice", "good")
    person.see("TAKEN .*voice good")
    person.take("next mark", "reached surface")


def close(person: Person) -> None:
    """Give words to every gap of the record, and close the dive."""
    person.press("close")
    while (title := DIALOG.search(person.see(r"^╭─+╮\n│ (MISSING|Close)"))) and title[1].startswith(
        "MISSING"
    ):
        asked = title[0]
        person.fill(Why_missing="Outer sill, north bank")
        person.terminal.gone(re.escape(asked))
    person.fill(Condition_of_the_diver="Well", Remarks="")
    person.see("TAKEN .*lane 1 closed")


def sign(person: Person, who: str, status: str) -> None:
    """Sign with a new key, and read the verdict."""
    person.choose("sign", who)
    person.see(f"New signing key for {who}")
    person.fill(New_passphrase=PASSPHRASE, The_same=PASSPHRASE)
    person.see(rf"^│ RECORD[^\0]*{status}")
    person.press("back")


@pytest.mark.soak
def test_a_whole_dive_by_keys_that_stand_on_the_screen(start: "Start", tmp_path: Path) -> None:
    words = ("open", "--new", "--title", "Sill", "--folder", str(tmp_path), "--station")
    terminal = start(*words, str(station_file(tmp_path)))
    person = Person(terminal)
    begin(person)
    work(person, "READY TO DIVE")
    dive(person)
    person.see("NEXT: Faceplate open")
    work(person, "nothing is open now")
    close(person)
    sign(person, "Ben Rowe", "not yet signed")
    sign(person, "Ada Brook", "sound")
    person.choose("sign", "print it as a PDF, A4")
    person.see("Printed: ")
    person.press("back")
    person.press("leave")
    person.see("LEAVE THE CONSOLE")
    person.press("yes")
    assert terminal.code() == 0
    (record,) = (tmp_path / "records").glob("*.toml")
    assert [path.read_bytes()[:5] for path in (tmp_path / "records").glob("*.pdf")] == [b"%PDF-"]
    verify = subprocess.run(
        [sys.executable, "-m", "station", "record", "verify", str(record)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert (verify.returncode, "sound" in verify.stdout) == (0, True), verify.stdout + verify.stderr
