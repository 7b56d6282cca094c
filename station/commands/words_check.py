"""The words of the checks of files and journals."""

from station.commands.argument import Command, arg

COMMANDS: tuple[Command, ...] = (
    (
        "tables check",
        "station.commands.check:tables",
        "check a table file by its own sums and print what was checked",
        "station tables check\n  station tables check my-tables.toml",
        (arg("file", nargs="?", help="table file; default: the shipped one"),),
    ),
    (
        "config check",
        "station.commands.check:config",
        "check a station, outfit, supply, table, card, rule or scenario file",
        "station config check\n  station config check my-station.toml",
        (arg("file", nargs="?", help="file to check; default: every shipped one"),),
    ),
    (
        "journal check",
        "station.commands.check:journal",
        "check a journal: storage, chain, every entry",
        "station journal check journals/2031-05-04-weir.journal",
        (arg("file", help="journal file"),),
    ),
)
