"""What the tables of commands are made of: a command, its arguments, and the arguments that several share."""

Arguments = tuple[tuple[tuple[str, ...], dict[str, object]], ...]
Command = tuple[str, str, str, str, Arguments]
"""Words, module and function, summary, examples, arguments."""


def arg(*names: str, **options: object) -> tuple[tuple[str, ...], dict[str, object]]:
    """Return one argument as `argparse` takes it."""
    return names, options


FOLDER = arg("--folder", metavar="FOLDER", help="where journals, records and keys are kept")
SUPPLY = arg("--supply", metavar="FILE", help="supply file; default: the shipped one")
JSON = arg("--json", action="store_true", help="print one JSON object")
