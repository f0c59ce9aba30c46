"""A file becomes sheets of typed cells, each with an address a user can find again."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from recap.problem_codes import report
from recap.problems import Location, Problem, UnreadableFile

Value = str | float | bool | dt.date | dt.datetime | dt.time | dt.timedelta
"""What a cell may hold; an empty cell holds the empty text."""

_OTHER_FILES = (
    (b"%PDF", "a PDF"),
    (b"{\\rtf", "a text document"),
    (b"<", "a web page or XML"),
    (b"\x1f\x8b", "a packed file"),
    (b"7z\xbc\xaf", "a packed file"),
    (b"Rar!", "a packed file"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
)
SPREADSHEETS = (".xlsx", ".xlsm", ".ods")
TEXTS = (".csv", ".tsv", ".txt")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: rows of values, the first row being row 1 of the file."""

    file: str
    name: str
    rows: list[list[Value]]
    hidden_rows: frozenset[int] = frozenset()
    """Row numbers, counted from 1."""
    damage: Mapping[tuple[int, int], str] = field(default_factory=dict)
    """(row, column) counted from 0 of cells that look empty but are not: a formula or an error value."""

    def location(self, row: int, column: int | None = None, heading: str = "") -> Location:
        """Return the address of a cell, row and column counted from 0."""
        cell = f"{letters(column or 0)}{row + 1}"
        return Location(self.file, self.name, cell, heading)

    def damage_at(self, row: int, column: int, heading: str = "") -> Problem | None:
        """Return what is to be said of a cell that looks empty and is not; None for any other."""
        found = self.damage.get((row, column))
        if found is None:
            return None
        place = self.location(row, column, heading)
        if found.startswith("#"):
            return report("error-cell", "is an error value, not an entry", place, found, "mend the formula")
        message = "is a formula whose result was never saved; nothing is read"
        hint = "open the file in a spreadsheet program and save it"
        return report("not-calculated", message, place, found[:80], hint)


def letters(column: int) -> str:
    """Return a column's name in a spreadsheet.

    >>> letters(0), letters(25), letters(26), letters(701), letters(702)
    ('A', 'Z', 'AA', 'ZZ', 'AAA')
    """
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = chr(65 + rest) + name
    return name


def written(value: Value) -> str:
    """Return a cell's value as a person would have typed it.

    >>> written(470.0), written(6.3), written("  4u7 ")
    ('470', '6.3', '4u7')
    """
    if isinstance(value, str):
        return value.strip()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    return str(value)


def read_sheets(path: Path) -> tuple[list[Sheet], list[Problem]]:
    """Read every sheet of a file; raises UnreadableFile with the reason when that cannot be done."""
    from recap.intake import delimited, workbooks

    ending = path.suffix.lower()
    if path.exists() and not path.is_file() and not path.is_dir():
        raise UnreadableFile(f"{path}: this is a device or a pipe; save its content to a file")
    try:
        with path.open("rb") as stream:
            head = stream.read(8)
    except FileNotFoundError:
        raise UnreadableFile(f"{path}: there is no such file") from None
    except IsADirectoryError:
        raise UnreadableFile(f"{path}: this is a folder; name the file inside it") from None
    except OSError as error:
        raise UnreadableFile(f"{path}: cannot be opened ({error.strerror})") from None
    if not head:
        raise UnreadableFile(f"{path}: the file is empty")
    if head.startswith(b"PK"):
        return workbooks.read(path)
    if head.startswith(b"\xd0\xcf\x11\xe0"):
        raise UnreadableFile(f"{path}: {_old_format(path)}")
    what = next((name for start, name in _OTHER_FILES if head.lstrip().startswith(start)), None)
    if what:
        raise UnreadableFile(f"{path}: this is {what}, not a table; save it as .xlsx, .ods or .csv")
    if ending in SPREADSHEETS:
        raise UnreadableFile(
            f"{path}: its name says {ending}, its content is not that; "
            "open it in a spreadsheet program and save it again"
        )
    if ending == ".xls":
        raise UnreadableFile(f"{path}: the old .xls format is not read; save it as .xlsx, .ods or .csv")
    return delimited.read(path)


def _old_format(path: Path) -> str:
    """Tell a password-protected workbook from one of the old binary format: both use the same container."""
    with path.open("rb") as stream:
        content = stream.read(1 << 26)
    if "EncryptedPackage".encode("utf-16-le") in content:
        return "the workbook is protected by a password; save it without one"
    return "the old .xls format is not read; save it as .xlsx, .ods or .csv"
