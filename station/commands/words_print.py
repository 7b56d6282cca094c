"""The words of `station record print`, `record export` and `record schema`."""

from station.commands.argument import Command, arg

_FORCE = arg("--force", action="store_true", help="write over a file that stands there already")

COMMANDS: tuple[Command, ...] = (
    (
        "record print",
        "station.commands.print_record:print_",
        "print records as PDF for the file cabinet, with the verdict on their signatures",
        (
            "station record print records/2031-05-04-1.toml\n"
            "  station record print records/*.toml --out cabinet --paper letter"
        ),
        (
            arg("files", nargs="+", help="record files"),
            arg(
                "--out",
                metavar="FILE",
                help="the PDF, or a folder that exists; default: beside each record, ending in .pdf",
            ),
            arg("--paper", choices=("a4", "letter"), default="a4", help="size of the paper; default: a4"),
            _FORCE,
        ),
    ),
    (
        "record export",
        "station.commands.print_record:export",
        "write a record as JSON, its readings as CSV, or all of it as plain text",
        (
            "station record export records/2031-05-04-1.toml --csv\n"
            "  station record export records/2031-05-04-1.toml --json --out dive.json"
        ),
        (
            arg("file", help="record file"),
            *(
                arg(f"--{form}", dest="forms", action="append_const", const=form, help=words)
                for form, words in (
                    ("json", "everything, as 'station record schema' describes it"),
                    ("csv", "marks, depth readings and pressures, one to a line"),
                    ("text", "for reading, 80 columns wide"),
                )
            ),
            arg("--out", metavar="FILE", help="file to write; default: standard output"),
            _FORCE,
        ),
    ),
    (
        "record schema",
        "station.commands.print_record:schema",
        "print the JSON Schema of an exported record",
        "station record schema",
        (),
    ),
)
