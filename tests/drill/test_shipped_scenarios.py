"""Every shipped scenario ends as its own file says it must, worked out there by hand from the tables."""

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from station.drill.scenario import load_scenario
from station.shipped import shipped

if TYPE_CHECKING:
    from tests.drill.conftest import Runner

SCENARIOS = sorted(path for path in shipped("demo").rglob("*.toml") if path.name != "station.toml")


@pytest.mark.parametrize("path", SCENARIOS, ids=lambda path: path.stem)
def test_it_ends_as_it_says(drill: "Runner", path: Path) -> None:
    ran = drill.at(path)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.endswith("The drill ended as its scenario says it must.\n")
    scenario = load_scenario(path)
    lanes = {line.lane for line in scenario.file.line if line.lane}
    assert {one.lane for one in scenario.file.expected} == lanes
    assert len(list(ran.folder.rglob("records/*.toml"))) == len(lanes)


@pytest.mark.parametrize(
    ("name", "swap", "said"),
    [
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
    ],
)
def test_a_figure_that_differs_is_told(drill: "Runner", name: str, swap: tuple[str, str], said: str) -> None:
    ran = drill(name, swap)
    assert ran.code == 10
    assert said in ran.err
