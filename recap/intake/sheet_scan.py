"""A second look at a sheet's XML, for what the fast reader does not tell.

It finds hidden rows, formulas that were never calculated, error values, and how far the filled cells reach,
since the fast reader sets aside room for every cell up to the last one.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

MOST_CELLS = 4_000_000
"""Rows times columns of one sheet, up to its last filled cell."""
LONGEST_TEXTS = 200_000_000
"""Characters of all cells together; a long text that many cells share counts for each of them."""

# Attributes are read up to the next bracket of either kind, so that broken input costs no more than whole input.
_ROW = re.compile(rb"<row\b([^<>]*)>")
_CELL = re.compile(rb"<c\s([^<>]*?)(?:/>|>(.*?)</c>)", re.DOTALL)
_REFERENCE = re.compile(rb'<c\s[^<>]*?\br="([A-Z]{1,3})\d')
_TWO_LETTERS = re.compile(rb'<c r="[A-Z]{2}')
_PREFIX = re.compile(rb"<(\w+):sheetData\b")
_ROW_NUMBER = re.compile(rb'\br="(\d{1,9})"')
_CELL_NAME = re.compile(rb'\br="([A-Z]{1,3})(\d{1,9})"')
_TYPE = re.compile(rb'\bt="(\w+)"')
_FORMULA = re.compile(rb"<f\b[^<>]*?(?:/>|>(.*?)</f>)", re.DOTALL)
_VALUE = re.compile(rb"<(?:v|t)\b[^<>]*>([^<]+)")
_HIDDEN = re.compile(rb'\bhidden="(?:1|true)"')
_STRING_ITEM = re.compile(rb"<si\b")


@dataclass(slots=True)
class Scan:
    """What a second look found; rows counted from 1 in `hidden_rows`, from 0 elsewhere."""

    hidden_rows: set[int] = field(default_factory=set)
    damage: dict[tuple[int, int], str] = field(default_factory=dict)
    too_far: str = ""
    """Why the sheet cannot be opened, empty when it can."""


def scan_xlsx(part: bytes, strings: bytes) -> Scan:
    """Look at the XML of one worksheet; `strings` is that of the shared texts."""
    part, strings = _without_prefix(part), _without_prefix(strings)
    scan = Scan()
    last_row = 0
    for attributes in _ROW.findall(part):
        number = _ROW_NUMBER.search(attributes)
        last_row = int(number[1]) if number else last_row + 1
        if b"hidden=" in attributes and _HIDDEN.search(attributes):
            scan.hidden_rows.add(last_row)
    longest = _longest_string(strings)
    cells = part.count(b't="s"')
    wide = last_row * _width(part) > MOST_CELLS
    if wide or cells * longest > LONGEST_TEXTS or _has_formula(part) or b't="e"' in part:
        require_well_formed(part)
        _look_at_cells(part, scan)
    if cells * longest > LONGEST_TEXTS and not scan.too_far:
        lengths = _string_lengths(strings)
        total = sum(lengths[index] for index in _string_uses(part) if index < len(lengths))
        if total > LONGEST_TEXTS:
            scan.too_far = "its texts together are longer than any inspection's"
    return scan


def _without_prefix(part: bytes) -> bytes:
    """Return XML without the prefix that some programs put before every name."""
    match = _PREFIX.search(part[:10_000]) or re.search(rb"<(\w+):sst\b", part[:1000])
    if not match:
        return part
    return part.replace(b"<" + match[1] + b":", b"<").replace(b"</" + match[1] + b":", b"</")


def require_well_formed(part: bytes) -> None:
    """Raise ValueError unless the XML is whole and of the plain kind that spreadsheet programs write."""
    if b"<!" in part:
        raise ValueError("comments or quoted sections")
    try:
        expat.ParserCreate().Parse(part, True)
    except expat.ExpatError as error:
        raise ValueError(str(error)) from None


def _has_formula(part: bytes) -> bool:
    return b"<f>" in part or b"<f " in part


def _width(part: bytes) -> int:
    """Return the number of columns that cells are named in, at least 26."""
    if part.count(b'<c r="') == part.count(b"<c ") and not _TWO_LETTERS.search(part):
        return 26
    return max(map(column_number, set(_REFERENCE.findall(part))), default=26)


def column_number(name: bytes) -> int:
    """Return the number of a column, counted from 1.

    >>> column_number(b"A"), column_number(b"XFD")
    (1, 16384)
    """
    number = 0
    for letter in name:
        number = number * 26 + letter - 64
    return number


def _look_at_cells(part: bytes, scan: Scan) -> None:
    """Go through the cells with care: formulas without result, errors, and the last filled cell."""
    last_row = last_column = 0
    farthest = ("", "")
    for match in _CELL.finditer(part):
        body = match[2]
        name = _CELL_NAME.search(match[1]) if body else None
        if not body or not name:
            continue
        column, row = column_number(name[1]), int(name[2])
        kind = _TYPE.search(match[1])
        value = _VALUE.search(body)
        formula = _FORMULA.search(body)
        if kind and kind[1] == b"e":
            scan.damage[row - 1, column - 1] = value[1].decode("utf-8", "replace") if value else "#error"
        elif formula and not value and not (kind and kind[1] == b"str"):
            text = html.unescape((formula[1] or b"").decode("utf-8", "replace"))
            scan.damage[row - 1, column - 1] = f"={text}"
        elif value:
            cell = f"{name[1].decode()}{row}"
            if row > last_row:
                last_row, farthest = row, (cell, farthest[1])
            if column > last_column:
                last_column, farthest = column, (farthest[0], cell)
    if last_row * last_column > MOST_CELLS:
        cells = " and ".join(dict.fromkeys(farthest))
        scan.too_far = f"something stands as far out as {cells}; empty that, or copy the table into a new sheet"


def _longest_string(strings: bytes) -> int:
    return max((len(item) for item in _STRING_ITEM.split(strings)), default=0)


def _string_lengths(strings: bytes) -> list[int]:
    return [len(item) for item in _STRING_ITEM.split(strings)[1:]]


def _string_uses(part: bytes) -> Iterator[int]:
    for match in re.finditer(rb't="s"[^<>]*>\s*<v>(\d{1,9})<', part):
        yield int(match[1])


_ODS_TABLE = re.compile(rb'<table:table\s[^<>]*?table:name="([^"<>]*)"[^<>]*>(.*?)</table:table>', re.DOTALL)
_ODS_ROW = re.compile(rb"<table:table-row\b([^<>]*?)(?:/>|>(.*?)</table:table-row>)", re.DOTALL)
_ODS_CELL = re.compile(
    rb"<table:(?:covered-)?table-cell\b([^<>]*?)(?:/>|>(.*?)</table:(?:covered-)?table-cell>)", re.DOTALL
)
_ROWS_REPEATED = re.compile(rb'table:number-rows-repeated="(\d{1,9})"')
_COLUMNS_REPEATED = re.compile(rb'table:number-columns-repeated="(\d{1,9})"')
_ODS_FORMULA = re.compile(rb'table:formula="([^"]*)"')


def scan_ods(content: bytes) -> Mapping[str, Scan]:
    """Look at every table of an OpenDocument spreadsheet's content."""
    require_well_formed(content)
    scans: dict[str, Scan] = {}
    for name, table in _ODS_TABLE.findall(content):
        scan = Scan()
        row = last_row = last_column = 0
        for attributes, body in _ODS_ROW.findall(table):
            repeated = _repeats(_ROWS_REPEATED, attributes)
            if b"office:value-type" in body or b"table:formula" in body:
                last_row = row + repeated
                last_column = max(last_column, _ods_cells(body, row, scan))
            if b'visibility="collapse"' in attributes or b'visibility="filter"' in attributes:
                scan.hidden_rows.update(range(row + 1, row + 1 + min(repeated, 10_000)))
            row += repeated
        if last_row * last_column > MOST_CELLS:
            claim = f"it claims {last_row:,} rows of {last_column:,} filled columns"
            scan.too_far = f"{claim}; copy the table into a new sheet"
        scans[html.unescape(name.decode("utf-8", "replace"))] = scan
    return scans


def _ods_cells(body: bytes, row: int, scan: Scan) -> int:
    """Look at the cells of a row; return the column after the last filled one."""
    column = last = 0
    for attributes, inside in _ODS_CELL.findall(body):
        repeated = _repeats(_COLUMNS_REPEATED, attributes)
        formula = _ODS_FORMULA.search(attributes)
        if b'calcext:value-type="error"' in attributes:
            shown = re.search(rb">([^<]+)<", inside)
            scan.damage[row, column] = shown[1].decode("utf-8", "replace") if shown else "#error"
        elif b"office:value-type" in attributes:
            last = column + repeated
        elif formula:
            scan.damage[row, column] = html.unescape(formula[1].decode("utf-8", "replace"))
        column += repeated
    return last


def _repeats(pattern: re.Pattern[bytes], attributes: bytes) -> int:
    match = pattern.search(attributes)
    return int(match[1]) if match else 1
