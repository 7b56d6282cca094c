"""The words of `station air`: sums on deck."""

from station.commands.argument import JSON, SUPPLY, Command, arg

FLOW = arg("--flow", metavar="FLOW", help="of one diver at depth, in acfm; default: as the file plans")
DIVERS = arg("--divers", default="1", metavar="N", help="how many draw, the standby counted")

COMMANDS: tuple[Command, ...] = (
    (
        "air bank",
        "station.commands.air:bank",
        "what a bank still gives at a depth, and for how long",
        (
            "station air bank 200bar 4 50l 30msw --divers 2\n"
            "  station air bank 3000psig 4 '8 cu ft' 130fsw --flow 6"
        ),
        (
            arg("pressure", help="what its gauge reads, in psig or with its unit: 200bar"),
            arg("flasks", help="how many flasks are on line"),
            arg("volume", help="floodable volume of one flask, in cu ft or with its unit: 50l"),
            arg("depth", help="depth of the divers, in fsw or with its unit: 30msw"),
            FLOW,
            DIVERS,
            arg(
                "--manifold", metavar="PRESSURE", help="least manifold pressure; default: by the supply file"
            ),
            arg("--minimum", metavar="PRESSURE", help="least pressure of the flasks; default: the file's"),
            arg("--flask", metavar="TEMPERATURE", help="of the air in the flasks; default: the file's"),
            arg("--breathed", metavar="TEMPERATURE", help="of the air breathed; default: the file's"),
            SUPPLY,
            JSON,
        ),
    ),
    (
        "air flow",
        "station.commands.air:flow",
        "what a flow at depth takes from the surface",
        "station air flow 130 --flow 4.5 --divers 3\n  station air flow 40msw",
        (arg("depth", help="depth, in fsw or with its unit: 30msw"), FLOW, DIVERS, SUPPLY, JSON),
    ),
    (
        "air pressure",
        "station.commands.air:pressure",
        "the manifold pressure needed at a depth",
        "station air pressure 130\n  station air pressure 30msw --hose hose-1 --gauge 12bar",
        (
            arg("depth", help="depth, in fsw or with its unit: 30msw"),
            arg("--equipment", metavar="ID", help="equipment of the supply file; default: the one in use"),
            arg("--hose", metavar="ID", help="hose of the supply file, with its equipment"),
            arg("--gauge", metavar="PRESSURE", help="what the manifold reads, for the margin"),
            SUPPLY,
            JSON,
        ),
    ),
    (
        "air co2",
        "station.commands.air:co2",
        "the carbon dioxide inspired in a ventilated helmet",
        "station air co2 4.5acfm\n  station air co2 170l/min --depth 130 --made 2.0 --supply-ppm 600",
        (
            arg("flow", help="ventilation at depth, in acfm or with its unit: 170l/min"),
            arg("--depth", help="depth, in fsw or with its unit: 30msw"),
            arg("--made", metavar="SLM", help="what the diver makes, in standard litres a minute"),
            arg("--supply-ppm", metavar="PPM", help="what is in the air supplied already"),
            SUPPLY,
            JSON,
        ),
    ),
)
