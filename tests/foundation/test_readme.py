"""The README says what is true: its commands, its line for stock tools, its exit codes."""

import re
from pathlib import Path

from station import errors
from station.console.app import ENDING
from station.record.stock import stock_line

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```\w*\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_the_first_two_blocks_are_one_line_each() -> None:
    """The first runs the main job, the second passes the tests."""
    first, second = (block.splitlines() for block in BLOCKS[:2])
    assert (len(first), len(second)) == (1, 1)
    assert first[0].endswith("station drill")
    assert second[0].endswith("pytest")


def test_the_line_for_stock_tools_is_the_one_that_is_tried_byte_by_byte() -> None:
    """Only the names of the file, the signer and the list differ."""
    line = next(block for block in BLOCKS if "ssh-keygen -Y verify" in block).splitlines()[1]
    ours = stock_line("RECORD", "PERSON:ROLE", "LIST")
    plain = (
        line.replace('"$F"', "RECORD").replace('"$WHO"', "PERSON:ROLE").replace("../allowed_signers", "LIST")
    )
    assert plain == ours


def test_every_exit_code_is_in_the_table() -> None:
    """And none that no error or signal has: a console ended by a signal says so by 128 and its number."""
    told = {int(code) for code in re.findall(r"^\| (\d+) \| ", README, re.MULTILINE)}
    kinds = [kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, Exception)]
    codes = {kind.exit_code for kind in kinds if issubclass(kind, errors.StationError)}
    signals = {128 + number for number in ENDING}
    assert told == codes | {0} | signals
