"""A whole dive by somebody who never saw the console: every key pressed stands on the screen at that moment.

Real journal, real clock, 80 x 24. What to do next is read from the screen too; only what is typed into fields
is brought along, as a crew brings the numbers on its gear.
"""

import re
import subprocess
import sys
from datetime import UTC, datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from person import DIALOG, Person, another_dialog, shown, without_dialog

if TYPE_CHECKING:
    from tests.e2e.conftest import Start

pytestmark = pytest.mark.tmux
PASSPHRASE = "cold water, warm tea"
PLACE = "Outer sill, north bank"
ONE_PRESS = "taken for one press"
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


def test_only_what_stands_there_is_found() -> None:
    bare = "\n\n ! LOW no date on record ` ack\n\n n next step  F8 pressure  F1 keys\n"
    assert [shown(bare, label) for label in ("next step", "keys", "ack")] == ["n", "F1", "`"]
    assert [shown(bare, label) for label in ("sign", "date on record", "back")] == [None] * 3
    keys = "│ Enter next   Esc leave   Left/Right or digit choose │"
    dialog = f"{bare}╭──╮\n│ Duties   1[ ] tender │\n│ 2[ ] diver │\n{keys}\n╰──╯"
    assert [shown(dialog, label) for label in ("tender", "diver", "leave")] == ["1", "2", "Esc"]
    assert shown(dialog, "next step") is None


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
    person.press("back", without_dialog)
    person.press("conditions", "^│ Visibility")
    person.fill(
        "TAKEN .*conditions noted",
        Visibility="10 ft",
        Water_temperature="11",
        Current="none",
        Surface_and_weather="calm",
    )
    person.press("new dive", "^│ Diver")
    person.fill(
        r"^ NEXT: [^\0]*TAKEN .*lane 1 planned for Eli Stone",
        Diver="",
        Tenders="",
        Planned_depth="30",
        Planned_bottom_time="10",
        Work="Look at the sill",
    )


def draw(dialog: str, number: int) -> dict[str, str]:
    """Return what a drawn piece is asked for: own number, the set's stamped number, the day of a test."""
    typed = {"Own_number": f"P-{number}"}
    if "Set number" in dialog:
        typed["Set_number"] = "" if re.search(r"Set number.* 27 ", dialog) else "27"
    if "Day of its" in dialog:
        typed["Day_of_its"] = f"{datetime.now(UTC):%Y-%m-%d}"
    return typed


def do_next(person: Person, number: int) -> None:
    """Do the next step as the screen tells it."""
    before = person.seen

    def taken(screen: str) -> bool:
        return answered(screen, before)

    if "waits for: air on and its supply pressure read" in before:
        person.choose("pressure", "Manifold", "^│ Pressure")
        person.fill(taken, Pressure="150")
        return
    asked = person.press("next step", lambda now: DIALOG.search(now) or taken(now))
    title = DIALOG.search(asked)
    if title and title[1].startswith("Draw: "):
        person.fill(taken, **draw(asked, number))
    elif title:
        person.press("yes" if "Enter yes" in asked else "next", taken)
    elif ONE_PRESS in said(asked):
        person.pause()


def said(screen: str) -> str:
    """Return the line that says what was taken last."""
    return screen.splitlines()[-3]


def page(screen: str) -> str:
    """Return the order and the ring, without figures: a clock that goes on is no answer."""
    return re.sub(r"\d+", "", "\n".join(screen.splitlines()[5:-4]))


def answered(screen: str, before: str) -> bool:
    """Whether a step is taken and the page shows it, or the press did not count.

    What was taken is said first; the page follows, and until it does it still tells the old step.
    """
    if DIALOG.search(screen) or said(screen) == said(before):
        return False
    return ONE_PRESS in said(screen) or (said(screen).startswith(" TAKEN ") and page(screen) != page(before))


def to_do(screen: str) -> str:
    """Return what the screen says is to be done next."""
    found = re.search(r"^ (NEXT: .*|READY TO DIVE)", screen, re.MULTILINE)
    return found[1].rstrip() if found else ""


def work(person: Person, until: str) -> None:
    """Do one step after the other until something else is to be done."""
    number = 0
    while not re.search(until, to_do(person.seen)):
        number += 1
        do_next(person, number)


def dive(person: Person) -> None:
    """Take notice of the alarms and the marks as they come, a depth, a voice check, a pressure between."""
    person.press("ack", "ALARMS: take notice")
    person.press("all", r"\(ACK [^\0]*TAKEN .*alarm acknowledged")
    person.press("next mark", r"BOTTOM TIME[^\0]*NEXT REACHED BOTTOM[^\0]*TAKEN .*left surface - Ben Rowe")
    person.choose("voice", "good", r"VOICE +good[^\0]*TAKEN .*voice good")
    person.press("next mark", r"NEXT LEFT BOTTOM, due[^\0]*TAKEN .*reached bottom")
    person.press("depth", "^│ Depth as read")
    person.fill("READ IT ONCE MORE", Depth_as_read="28")  # no diver is so deep in these few seconds
    person.press("yes", r"read 28 fsw\)[^\0]*TAKEN .*depth read 28 fsw")
    person.choose("pressure", "Bank 1", "^│ Pressure")
    person.fill(r"Bank 1 2800 psig, [^\0]*TAKEN .*Bank 1 2800 psig", Pressure="2800")
    person.press("next mark", r"NEXT REACHED SURFACE, due[^\0]*TAKEN .*left bottom")
    person.choose("voice", "good", r"VOICE +good[^\0]*TAKEN .*voice good")
    person.press("next mark", r"NEXT: Faceplate open[^\0]*TAKEN .*reached surface")


def close(person: Person) -> None:
    """Give words to every gap of the record, and close the dive."""
    title = DIALOG.search(person.press("close", r"^╭─+╮\n│ (MISSING|Close)"))
    while title and title[1].startswith("MISSING"):
        gap = title[1]
        title = DIALOG.search(person.fill(partial(another_dialog, gap), Why_missing=PLACE))
    person.fill(r": closed \][^\0]*TAKEN .*lane 1 closed", Condition_of_the_diver="Well", Remarks="")


def sign(person: Person, who: str, status: str) -> None:
    """Sign with a new key, and read the verdict."""
    person.choose("sign", who, f"New signing key for {who}")
    person.fill(rf"^│ RECORD[^\0]*{status}", New_passphrase=PASSPHRASE, The_same=PASSPHRASE)
    person.press("back", without_dialog)


@pytest.mark.soak
def test_a_whole_dive_by_keys_that_stand_on_the_screen(start: "Start", tmp_path: Path) -> None:
    words = ("open", "--new", "--title", "Sill", "--folder", str(tmp_path), "--station")
    terminal = start(*words, str(station_file(tmp_path)))
    person = Person(terminal)
    begin(person)
    work(person, "READY TO DIVE")
    dive(person)
    work(person, "the supervisor closes the dive")
    close(person)
    sign(person, "Ben Rowe", "not yet signed")
    sign(person, "Ada Brook", "sound")
    person.choose("sign", "print it as a PDF, A4", "Printed: ")
    person.press("back", without_dialog)
    person.press("leave", "LEAVE THE CONSOLE")
    person.press("yes", r"^\S ?$")
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
