"""The actions of the air supply: readings of the gauges, sources, tests and samples."""

from station.console.action import BELOW, DRESSING, MARKS, Action
from station.console.flows import air

AIR_ACTIONS: tuple[Action, ...] = (
    Action(
        "pressure",
        MARKS,
        "pressure",
        "a pressure read: the letter of its gauge (m the manifold), the figure, Enter",
        ("f8", "p"),
        air.pressure,
        BELOW | DRESSING,
    ),
    Action(
        "air",
        MARKS,
        "air...",
        "the air: 1 changed over to the next source, 2 the one on line LOST, 3-8 sources, tests, samples",
        ("left_curly_bracket", "ctrl+v"),
        air.air,
        BELOW,
    ),
)
