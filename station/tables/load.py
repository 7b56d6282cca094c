"""Reading a table file: its form, then every sum and order that its figures must keep."""

from functools import lru_cache

from station.errors import FileError
from station.files import digest, load
from station.tables.checks import run_checks
from station.tables.lookup import lay_out
from station.tables.model import TableFile, Tables


@lru_cache(maxsize=4)
def load_tables(data: bytes, name: str) -> Tables:
    """Return the tables of a file's bytes, all checks passed; `name` is shown as the file.

    What does not change is checked once: the same bytes give the same tables as long as the program runs.

    Raises:
        FileError: lists every key and every row that fails, with its reason.

    """
    file = load(data, name, TableFile)
    made, problems = run_checks(file)
    if problems:
        raise FileError(name, problems)
    return lay_out(file, name, digest(data), made)
