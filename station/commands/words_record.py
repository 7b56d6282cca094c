"""The words of `station record`."""

from station.commands.argument import Command, arg

COMMANDS: tuple[Command, ...] = (
    (
        "record verify",
        "station.commands.record:verify",
        "check a record's signatures and chain; names every signer",
        "station record verify records/2031-05-04-1.toml\n  station record verify *.toml --signers list",
        (
            arg("files", nargs="+", help="record files"),
            arg(
                "--signers", metavar="FILE", help="list of who may sign; default: beside the record's folder"
            ),
        ),
    ),
    (
        "record show",
        "station.commands.record:show",
        "print a record for reading",
        "station record show records/2031-05-04-1.toml",
        (arg("file", help="record file"),),
    ),
)
