"""The words of the console, of a drill and of a plan."""

from station.commands.argument import FOLDER, SUPPLY, Command, arg

COMMANDS: tuple[Command, ...] = (
    (
        "open",
        "station.commands.open",
        "open the console on a new operation, or go on with the one that is running",
        (
            "station open\n  station open --new --title 'Weir inspection'\n"
            "  station open --station my-station.toml\n  station open --seat timekeeper\n"
            "  station open journals/2031-05-04-weir.journal"
        ),
        (
            arg("journal", nargs="?", help="journal to go on with; default: the latest in the folder"),
            arg("--new", action="store_true", help="begin a new operation even if one is running"),
            arg(
                "--station", metavar="FILE", help="station file for a new operation; default: the shipped one"
            ),
            arg("--title", metavar="WORDS", help="title of a new operation"),
            arg(
                "--seat",
                choices=("tender", "timekeeper", "supervisor"),
                help="keep this terminal at one seat; default: it goes along with the dive",
            ),
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
            arg(
                "scenario",
                nargs="?",
                help="scenario file, or the name of a shipped one, such as ossary-dam/oxygen",
            ),
            arg("--no-screen", action="store_true", help="as fast as it goes, printing an account"),
            arg(
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
            arg("depth", help="corrected depth in fsw (or with its unit: 24msw), a reading with --reading"),
            arg("time", help="bottom time in minutes"),
            arg(
                "--reading", action="store_true", help="DEPTH is a pneumofathometer reading, to be corrected"
            ),
            arg(
                "--leave",
                metavar="HH:MM",
                help="clock time of leaving the bottom, for the stops' clock times",
            ),
            arg("--colder", action="store_true", help="cold or arduous dive: the next longer schedule"),
            arg("--group", metavar="G", help="repetitive group of the dive before; with --interval"),
            arg("--interval", metavar="H:MM", help="surface interval since then, ten minutes or more"),
            arg(
                "--after",
                action="append",
                metavar="RECORD",
                help="record of an earlier dive of the diver; may be given more than once",
            ),
            arg("--sum", action="store_true", help="with --after: sum of the bottom times, not the table"),
            arg("--altitude", metavar="FT", help="altitude of the site in feet"),
            arg(
                "--gas",
                choices=("air", "oxygen", "surface"),
                default="air",
                help="on the way up: air, oxygen in the water, or oxygen in the chamber",
            ),
            arg("--ladder", action="store_true", help="print the ladder of leaving times too"),
            arg("--tables", metavar="FILE", help="table file; default: the shipped one"),
            SUPPLY,
            arg("--divers", default="1", metavar="N", help="how many dive at once, the standby not counted"),
            arg(
                "--bank",
                action="append",
                metavar="BANK=PRESSURE",
                help="a bank as it was read; may be given more than once; default: full",
            ),
            arg(
                "--json",
                action="store_true",
                help="print one JSON object; clock times: keys that end in _clock",
            ),
        ),
    ),
)
