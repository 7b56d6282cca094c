"""The README's table of statutory fields says what the shipped rule files say, line for line."""

from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from station.law.model import AskedField, Authority

README = Path(__file__).parents[2] / "README.md"
HEAD = ["| paragraph | asks for | when | stands in the record | basis |", "| --- | --- | --- | --- | --- |"]


def table(*authorities: "Authority") -> list[str]:
    """Return the table as it must stand."""
    return [*HEAD, *(_row(one, field) for one in authorities for field in one.asked)]


def _row(one: "Authority", field: "AskedField") -> str:
    keys = ", ".join(f"`{key}`" for key in field.keys)
    return f"| {one.cited(field.paragraph)} | {field.what} | {_when(field)} | {keys} | {field.basis} |"


def _when(field: "AskedField") -> str:
    return ", or ".join(field.when)


def _tables() -> "Iterator[list[str]]":
    found: list[str] = []
    for line in [*README.read_text(encoding="utf-8").splitlines(), ""]:
        if line.startswith("|"):
            found.append(line)
        elif found:
            yield found
            found = []


def test_the_readme_tells_every_statutory_field_and_where_it_stands(
    labour: "Authority", coast_guard: "Authority"
) -> None:
    wanted = table(labour, coast_guard)
    assert wanted in list(_tables()), "put this into the README:\n" + "\n".join(wanted)


def test_the_readme_says_what_is_not_read_and_that_local_law_comes_first(labour: "Authority") -> None:
    text = README.read_text(encoding="utf-8")
    assert "Local law comes first" in text
    assert {one.basis for one in labour.asked} == {"from memory"}
    assert "all of 29 CFR 1910.423(d) is from memory" in " ".join(text.split())
