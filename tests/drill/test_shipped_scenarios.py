"""Every shipped scenario ends as its own file says it must, worked out there by hand from the tables."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.drill.account import differences
from station.drill.scenario import load_scenario
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.conftest import PlayedDrills
    from tests.drill.conftest import Runner

DEMO = shipped("demo")
SCENARIOS = sorted(path for path in DEMO.rglob("*.toml") if path.name != "station.toml")


def name_of(path: Path) -> str:
    return path.relative_to(DEMO).with_suffix("").as_posix()


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_it_ends_as_it_says(played_drills: "PlayedDrills", path: Path) -> None:
    ran = played_drills(name_of(path))
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.endswith("The drill ended as its scenario says it must.\n")
    scenario = load_scenario(path)
    lanes = {line.lane for line in scenario.file.line if line.lane}
    assert {one.lane for one in scenario.file.expected} == lanes
    assert len(ran.records) == len(lanes)


SWAPS = [
    (
        "late-deep.toml",
        (r'"40: 3:25 counts 4"', '"40: 3:25 counts 3"'),
        "delays: expected 40: 3:25",
    ),
    ("late-deep.toml", (r'"07:54:52 160/25', '"07:54:53 160/25'), "changes: expected 07:54:53 160/25"),
    (
        "late-deep.toml",
        (r'"30 08:01:17', '"30 08:01:18'),
        "due: expected 40 07:57:17",
    ),
    ("late-deep.toml", ('owed = "40:4', 'owed = "40:5'), "owed: expected 40:5 30:7 20:35, found 40:4"),
    (
        "oxygen.toml",
        ("breaks: 1", "breaks: 2"),
        "oxygen: expected 45:00, breaks: 2",
    ),
    ("second-dive.toml", ("residual_min = 40", "residual_min = 39"), "residual time: expected 39 min"),
]
"""A figure of a scenario changed by pattern, and what must be said of it."""


@pytest.mark.parametrize(("name", "swap", "said"), SWAPS)
def test_a_figure_that_differs_is_told(
    played_drills: "PlayedDrills", tmp_path: Path, name: str, swap: tuple[str, str], said: str
) -> None:
    """The end of the drill as shipped, held against what it does not say; one goes the whole way below."""
    changed, count = re.subn(*swap, (DEMO / "ossary-dam" / name).read_text(encoding="utf-8"), count=1)
    assert count == 1
    (tmp_path / "station.toml").write_bytes((DEMO / "ossary-dam" / "station.toml").read_bytes())
    (tmp_path / name).write_text(changed, encoding="utf-8")
    ran = played_drills(f"ossary-dam/{name.removesuffix('.toml')}")
    told = [one.text for one in differences(ran.board, load_scenario(tmp_path / name).file.expected)]
    assert any(said in one for one in told), told
    assert differences(ran.board, load_scenario(ran.scenario).file.expected) == []


def test_a_figure_that_differs_ends_the_command_with_it(drill: "Runner") -> None:
    name, swap, said = SWAPS[3]
    ran = drill(name, swap)
    assert ran.code == 10
    assert said in ran.err
