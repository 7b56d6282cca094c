"""The words of `station record`."""

from station.commands.argument import FOLDER, JSON, Command, arg

_AS = arg("--as", dest="who", metavar="PERSON:ROLE", required=True, help="who signs, as what")
_AGENT = arg("--agent", action="store_true", help="sign by the running ssh-agent, not by the key file")

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
            JSON,
        ),
    ),
    (
        "record show",
        "station.commands.record:show",
        "print a record for reading",
        "station record show records/2031-05-04-1.toml",
        (arg("file", help="record file"),),
    ),
    (
        "record sign",
        "station.commands.record_sign:sign",
        "sign a record of a closed dive, away from the console",
        "station record sign records/2031-05-04-1.toml --as ines-oyelaran:supervisor --agent",
        (arg("file", help="record file"), _AS, _AGENT, FOLDER),
    ),
    (
        "record addendum",
        "station.commands.record_sign:addend",
        "correct a signed record by an addendum, signed in turn; what was signed stays",
        (
            "station record addendum records/2031-05-04-1.toml --as ines-oyelaran:supervisor"
            " --corrects after.condition --text 'Well, cold' --reason 'Misheard.'"
        ),
        (
            arg("file", help="record file"),
            arg("--corrects", metavar="KEY", required=True, help="key of the record, or 'line N'"),
            arg("--text", required=True, help="what should stand there"),
            arg("--reason", required=True, help="why"),
            _AS,
            _AGENT,
            FOLDER,
        ),
    ),
)
