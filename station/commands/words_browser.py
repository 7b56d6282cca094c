"""The words of `station browser`."""

from station.commands.argument import FOLDER, Command, arg

COMMANDS: tuple[Command, ...] = (
    (
        "browser",
        "station.commands.browser",
        "the console in a browser on this machine; needs the extra 'browser'",
        "station browser\n  station browser --port 9000\n  station browser journals/2031-05-04-weir.journal",
        (
            arg("journal", nargs="?", help="journal to go on with; default: the latest in the folder"),
            arg("--new", action="store_true", help="begin a new operation even if one is running"),
            arg("--station", metavar="FILE", help="station file for a new operation"),
            arg("--title", metavar="WORDS", help="title of a new operation"),
            arg("--port", default="8610", metavar="N", help="port on 127.0.0.1, default 8610"),
            FOLDER,
        ),
    ),
)
