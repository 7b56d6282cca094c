"""The words of the command `station`: every command with its summary, examples and arguments, as plain data.

Each command names the module and function that it runs; none is imported before, so that help comes at once.
"""

from station.caution import CAUTION

EPILOG = f"""\
files are kept in a folder named by --folder, else by STATION_FOLDER, else the platform's data folder

exit codes:
  0 done                      6 a record is not sound
  1 unforeseen fault          7 a signing key is missing, locked or of the wrong kind
  2 wrong words of a command  8 disk full, read-only or out of reach
  3 a file fails its checks   9 no terminal, or one too small
  4 journal damaged, foreign 10 a drill did not end as its scenario says
  5 an entry was refused    130 interrupted

{CAUTION}"""

Arguments = tuple[tuple[tuple[str, ...], dict[str, object]], ...]


Command = tuple[str, str, str, str, Arguments]
"""Words, module and function, summary, examples, arguments."""


def _arg(*names: str, **options: object) -> tuple[tuple[str, ...], dict[str, object]]:
    return names, options


FOLDER = _arg("--folder", metavar="FOLDER", help="where journals, records and keys are kept")
SUPPLY = _arg("--supply", metavar="FILE", help="supply file; default: the shipped one")
JSON = _arg("--json", action="store_true", help="print one JSON object")
FLOW = _arg("--flow", metavar="FLOW", help="of one diver at depth, in acfm; default: as the file plans")
DIVERS = _arg("--divers", default="1", metavar="N", help="how many draw, the standby counted")

COMMANDS: tuple[Command, ...] = (
    (
        "open",
        "station.commands.open",
        "open the console on a new operation, or go on with the one that is running",
        (
            "station open\n  station open --new --title 'Weir inspection'\n"
            "  station open --station my-station.toml\n  station open journals/2031-05-04-weir.journal"
        ),
        (
            _arg("journal", nargs="?", help="journal to go on with; default: the latest in the folder"),
            _arg("--new", action="store_true", help="begin a new operation even if one is running"),
            _arg(
                "--station", metavar="FILE", help="station file for a new operation; default: the shipped one"
            ),
            _arg("--title", metavar="WORDS", help="title of a new operation"),
            FOLDER,
        ),
    ),
    (
        "drill",
        "station.commands.drill",
        "play a scripted dive; with no scenario named, the shipped one",
        (
            "station drill\n  station drill --no-screen\n"
            "  station drill demo/ossary-dam/rack-look-over.toml --speed 20"
        ),
        (
            _arg("scenario", nargs="?", help="scenario file"),
            _arg("--no-screen", action="store_true", help="as fast as it goes, printing an account"),
            _arg(
                "--speed", type=float, default=30.0, metavar="N", help="drill seconds per second, default 30"
            ),
            FOLDER,
        ),
    ),
    (
        "plan",
        "station.commands.plan",
        "the schedule for a depth and a bottom time, with its stops and its air",
        (
            "station plan 79 33\n  station plan 115 52 --reading\n"
            "  station plan 154 20 --leave 10:20 --json\n"
            "  station plan 60 40 --group H --interval 1:30 --ladder\n  station plan 95 30 --altitude 5200\n"
            "  station plan 110 35 --divers 2 --bank bank-1=2400psig"
        ),
        (
            _arg("depth", help="corrected depth in fsw (or with its unit: 24msw), a reading with --reading"),
            _arg("time", help="bottom time in minutes"),
            _arg(
                "--reading", action="store_true", help="DEPTH is a pneumofathometer reading, to be corrected"
            ),
            _arg(
                "--leave",
                metavar="HH:MM",
                help="clock time of leaving the bottom, for the stops' clock times",
            ),
            _arg("--colder", action="store_true", help="cold or arduous dive: the next longer schedule"),
            _arg("--group", metavar="G", help="repetitive group of the dive before; with --interval"),
            _arg("--interval", metavar="H:MM", help="surface interval since then, ten minutes or more"),
            _arg(
                "--after",
                action="append",
                metavar="RECORD",
                help="record of an earlier dive of the diver; may be given more than once",
            ),
            _arg("--sum", action="store_true", help="with --after: sum of the bottom times, not the table"),
            _arg("--altitude", metavar="FT", help="altitude of the site in feet"),
            _arg(
                "--gas",
                choices=("air", "oxygen", "surface"),
                default="air",
                help="on the way up: air, oxygen in the water, or oxygen in the chamber",
            ),
            _arg("--ladder", action="store_true", help="print the ladder of leaving times too"),
            _arg("--tables", metavar="FILE", help="table file; default: the shipped one"),
            SUPPLY,
            _arg("--divers", default="1", metavar="N", help="how many dive at once, the standby not counted"),
            _arg(
                "--bank",
                action="append",
                metavar="BANK=PRESSURE",
                help="a bank as it was read; may be given more than once; default: full",
            ),
            JSON,
        ),
    ),
    (
        "air bank",
        "station.commands.air:bank",
        "what a bank still gives at a depth, and for how long",
        (
            "station air bank 200bar 4 50l 30msw --divers 2\n"
            "  station air bank 3000psig 4 '8 cu ft' 130fsw --flow 6"
        ),
        (
            _arg("pressure", help="what its gauge reads, in psig or with its unit: 200bar"),
            _arg("flasks", help="how many flasks are on line"),
            _arg("volume", help="floodable volume of one flask, in cu ft or with its unit: 50l"),
            _arg("depth", help="depth of the divers, in fsw or with its unit: 30msw"),
            FLOW,
            DIVERS,
            _arg(
                "--manifold", metavar="PRESSURE", help="least manifold pressure; default: by the supply file"
            ),
            _arg("--minimum", metavar="PRESSURE", help="least pressure of the flasks; default: the file's"),
            _arg("--flask", metavar="TEMPERATURE", help="of the air in the flasks; default: the file's"),
            _arg("--breathed", metavar="TEMPERATURE", help="of the air breathed; default: the file's"),
            SUPPLY,
            JSON,
        ),
    ),
    (
        "air flow",
        "station.commands.air:flow",
        "what a flow at depth takes from the surface",
        "station air flow 130 --flow 4.5 --divers 3\n  station air flow 40msw",
        (_arg("depth", help="depth, in fsw or with its unit: 30msw"), FLOW, DIVERS, SUPPLY, JSON),
    ),
    (
        "air pressure",
        "station.commands.air:pressure",
        "the manifold pressure needed at a depth",
        "station air pressure 130\n  station air pressure 30msw --hose hose-1 --gauge 12bar",
        (
            _arg("depth", help="depth, in fsw or with its unit: 30msw"),
            _arg("--equipment", metavar="ID", help="equipment of the supply file; default: the one in use"),
            _arg("--hose", metavar="ID", help="hose of the supply file, with its equipment"),
            _arg("--gauge", metavar="PRESSURE", help="what the manifold reads, for the margin"),
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
            _arg("flow", help="ventilation at depth, in acfm or with its unit: 170l/min"),
            _arg("--depth", help="depth, in fsw or with its unit: 30msw"),
            _arg("--made", metavar="SLM", help="what the diver makes, in standard litres a minute"),
            _arg("--supply-ppm", metavar="PPM", help="what is in the air supplied already"),
            SUPPLY,
            JSON,
        ),
    ),
    (
        "tables check",
        "station.commands.check:tables",
        "check a table file by its own sums and print what was checked",
        "station tables check\n  station tables check my-tables.toml",
        (_arg("file", nargs="?", help="table file; default: the shipped one"),),
    ),
    (
        "config check",
        "station.commands.check:config",
        "check a station, outfit, supply, table or scenario file",
        "station config check\n  station config check my-station.toml",
        (_arg("file", nargs="?", help="file to check; default: every shipped one"),),
    ),
    (
        "key new",
        "station.commands.key:new",
        "make a signing key, protected by a passphrase, and list it as a signer",
        "station key new ines-oyelaran --role supervisor",
        (
            _arg("person", help="the person's id: lower case, digits and hyphens"),
            _arg(
                "--role",
                action="append",
                required=True,
                choices=("tender", "timekeeper", "supervisor", "diver"),
                help="what the person may sign as; may be given more than once",
            ),
            FOLDER,
        ),
    ),
    (
        "key show",
        "station.commands.key:show",
        "show the signing keys of the folder, or one key file",
        "station key show\n  station key show keys/ines-oyelaran",
        (
            _arg("file", nargs="?", help="key file; default: all keys of the folder"),
            FOLDER,
        ),
    ),
    (
        "record verify",
        "station.commands.record:verify",
        "check a record's signatures and chain; names every signer",
        "station record verify records/2031-05-04-1.toml\n  station record verify *.toml --signers list",
        (
            _arg("files", nargs="+", help="record files"),
            _arg(
                "--signers", metavar="FILE", help="list of who may sign; default: beside the record's folder"
            ),
        ),
    ),
    (
        "record show",
        "station.commands.record:show",
        "print a record for reading",
        "station record show records/2031-05-04-1.toml",
        (_arg("file", help="record file"),),
    ),
    (
        "journal check",
        "station.commands.check:journal",
        "check a journal: storage, chain, every entry",
        "station journal check journals/2031-05-04-weir.journal",
        (_arg("file", help="journal file"),),
    ),
)
