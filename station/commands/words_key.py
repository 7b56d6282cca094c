"""The words of `station key`."""

from station.commands.argument import FOLDER, Command, arg

COMMANDS: tuple[Command, ...] = (
    (
        "key new",
        "station.commands.key:new",
        "make a signing key, protected by a passphrase, and list it as a signer",
        "station key new ines-oyelaran --role supervisor --until 2032-12-31",
        (
            arg("person", help="the person's id: lower case, digits and hyphens"),
            arg(
                "--role",
                action="append",
                required=True,
                choices=("tender", "timekeeper", "supervisor", "diver", "standby"),
                help="what the person may sign as; may be given more than once",
            ),
            arg("--from", dest="since", metavar="DAY", help="first day, or time, on which it counts"),
            arg("--until", metavar="DAY", help="last day, or time, on which it counts"),
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
    (
        "key list",
        "station.commands.key:who",
        "show who may sign as what, and from when until when",
        "station key list",
        (FOLDER,),
    ),
    (
        "key passphrase",
        "station.commands.key:change",
        "lock a key by another passphrase",
        "station key passphrase ines-oyelaran",
        (arg("person", help="the person's id"), FOLDER),
    ),
    (
        "key retire",
        "station.commands.key:retire",
        "end what a person may sign; what was signed before stays good",
        "station key retire ines-oyelaran\n  station key retire ines-oyelaran --until 2031-05-04",
        (
            arg("person", help="the person's id"),
            arg("--until", metavar="DAY", help="last day, or time, on which it counted; default: now"),
            FOLDER,
        ),
    ),
)
