"""The words of `station shelf`."""

from station.commands.argument import FOLDER, JSON, Command, arg

_SIGNERS = arg("--signers", metavar="FILE", help="list of who may sign; default: the one in the folder")
_STATION = arg("--station", metavar="FILE", help="station file with its tables and rules; default: shipped")
_AT = arg("--at", metavar="TIME", help="2031-05-04T12:00Z in place of now")
_JOBS = arg("--jobs", metavar="N", help="processes side by side; default: one for each core")
_SHELF = (FOLDER, _SIGNERS, JSON)

COMMANDS: tuple[Command, ...] = (
    (
        "shelf find",
        "station.commands.shelf:find",
        "find dives among the records; every condition must hold",
        (
            "station shelf find --diver jona-strand --from 2031-01-01\n"
            "  station shelf find --deeper 100 --deviation\n"
            "  station shelf find --unsound"
        ),
        (
            arg("--diver", metavar="DIVER", default="", help="id or full name"),
            arg("--from", dest="since", metavar="DAY", help="first day, such as 2031-05-04"),
            arg("--to", dest="until", metavar="DAY", help="last day"),
            arg("--place", metavar="WORDS", default="", help="words that the place holds, in any order"),
            arg("--deeper", metavar="DEPTH", help="deeper than this, in fsw or with its unit"),
            arg("--shallower", metavar="DEPTH", help="shallower than this"),
            arg(
                "--deviation",
                metavar="KIND",
                nargs="?",
                const="",
                help="with a delay or an omitted stop; KIND: words such as 'omitted' or 'first stop'",
            ),
            arg("--unsound", action="store_true", help="only records that are not sound"),
            arg("--drill", action="store_true", default=None, help="only drills"),
            arg("--no-drill", dest="drill", action="store_false", default=None, help="no drills"),
            *_SHELF,
        ),
    ),
    (
        "shelf diver",
        "station.commands.shelf_divers:diver",
        "a diver's own log and totals, group and interval now, and the wait before flying",
        "station shelf diver jona-strand\n  station shelf diver 'Jona Strand' --at 2031-05-04T12:00Z",
        (arg("diver", help="id or full name"), _AT, _STATION, *_SHELF),
    ),
    (
        "shelf now",
        "station.commands.shelf_divers:now",
        "repetitive group and interval of each diver now",
        "station shelf now\n  station shelf now --station station.toml",
        (_AT, _STATION, *_SHELF),
    ),
    (
        "shelf retention",
        "station.commands.shelf:retention",
        "up to which day each record is kept, and by which paragraph; nothing is ever discarded",
        "station shelf retention\n  station shelf retention --over",
        (
            arg("--over", action="store_true", help="only those that may be discarded"),
            _AT,
            _STATION,
            *_SHELF,
        ),
    ),
    (
        "shelf check",
        "station.commands.shelf_work:check",
        "verify every record of the shelf; the exit code is that of the worst",
        "station shelf check\n  station shelf check --whole --jobs 2",
        (
            arg(
                "--whole",
                action="store_true",
                help="go through the content of every record again, also where the index knows its SHA-256",
            ),
            _JOBS,
            *_SHELF,
        ),
    ),
    (
        "shelf import",
        "station.commands.shelf_work:import_",
        "take in records of another station's folder; nothing is overwritten",
        "station shelf import /media/stick/records --dry-run\n  station shelf import other --signers theirs",
        (
            arg("source", metavar="FOLDER", help="a folder of records, or a station's folder"),
            arg("--dry-run", action="store_true", help="only say what would be done"),
            arg("--signers", metavar="FILE", help="list to judge them by; default: the one in our folder"),
            FOLDER,
            JSON,
        ),
    ),
    (
        "shelf rebuild",
        "station.commands.shelf:rebuild",
        "throw the index away and make it anew from the files",
        "station shelf rebuild",
        (_JOBS, FOLDER, JSON),
    ),
)
