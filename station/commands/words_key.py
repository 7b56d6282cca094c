"""The words of `station key`."""

from station.commands.argument import FOLDER, Command, arg

COMMANDS: tuple[Command, ...] = (
    (
        "key new",
        "station.commands.key:new",
        "make a signing key, protected by a passphrase, and list it as a signer",
        "station key new ines-oyelaran --role supervisor",
        (
            arg("person", help="the person's id: lower case, digits and hyphens"),
            arg(
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
            arg("file", nargs="?", help="key file; default: all keys of the folder"),
            FOLDER,
        ),
    ),
)
