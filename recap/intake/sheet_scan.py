"""A second look at a sheet's XML, for what the fast reader does not tell.

It finds hidden rows, formulas that were never calculated, error values, and how far the filled cells reach,
since the fast reader sets aside room for every cell up to the last one. The XML is cut at the beginnings of rows
and cells and each piece looked at alone, so that broken or hostile input costs no more than whole input.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

MOST_CELLS = 4_000_000
"""Rows times columns of one sheet, up to its last filled cell."""
MOST_ROWS = 100_000
MOST_FORMULAS = 200_000
LONGEST_TEXTS = 200_000_000
"""Characters of all cells together; a long text that many cells share counts for each of them."""

_ROW = re.compile(rb"<row\b([^<>]*)>")
_EMPTY_ROW = re.compile(rb"<row\b[^<>]*(?:/>|></row>)")
_REFERENCE = re.compile(rb'<c\s[^<>]*?\br="([A-Z]{1,3})\d')
_TWO_LETTERS = re.compile(rb'<c r="[A-Z]{2}')
# Programs write every tag of rows and cells in one way; XML would allow many others, which are not looked at.
_ODD_TAG = re.compile(rb'<(?:c|row)\b(?!(?: [\w:.]+="[^"&<>]*")* ?/?>)|<[\w.-]+:(?:c|row)[\s/>]')
_ODD_ODS_TAG = re.compile(
    rb'<table:(?:table|table-row|table-cell|covered-table-cell)(?![\w-])(?!(?:\s+[\w:.-]+="[^"<>]*")*\s*/?>)'
    rb'|:number-(?:rows|columns)-(?:repeated|spanned)="(?!\d{1,9}")'
)
_PREFIX = re.compile(rb"<(\w+):(?:worksheet|sst)\b")
_ROW_NUMBER = re.compile(rb'\br="(\d{1,9})"')
_CELL_NAME = re.compile(rb'\br="([A-Z]{1,3})(\d{1,9})"')
_TYPE = re.compile(rb'\bt="(\w+)"')
_FORMULA = re.compile(rb"<f(?:\s[^<>]*)?>([^<]*)")
_VALUE = re.compile(rb"<(?:v|t)(?:\s[^<>]*)?>([^<]+)")
_HIDDEN = re.compile(rb'\bhidden="(?:1|true)"')
_STRING_ITEM = re.compile(rb"<si\b")
_STRING_USE = re.compile(rb't="s"[^<>]*>\s*<v>(\d{1,9})<')


@dataclass(slots=True)
class Scan:
    """What a second look found; rows counted from 1 in `hidden_rows`, from 0 elsewhere."""

    hidden_rows: set[int] = field(default_factory=set)
    damage: dict[tuple[int, int], str] = field(default_factory=dict)
    merged: list[tuple[tuple[int, int], tuple[int, int]]] = field(default_factory=list)
    """First and last (row, column) of merged cells, where the fast reader does not tell them."""
    too_far: str = ""
    """Why the sheet cannot be opened, empty when it can."""


def scan_xlsx(part: bytes, strings: bytes) -> Scan:
    """Look at the XML of one worksheet; `strings` is that of the shared texts. Raises ValueError when it is cut."""
    part, strings = _without_prefix(part), _without_prefix(strings)
    if not part.rstrip().endswith(b"</worksheet>"):
        raise ValueError("a sheet ends in the middle")
    if _ODD_TAG.search(part):
        raise ValueError("a sheet is written as no spreadsheet program does it")
    scan = Scan()
    last_row = 0
    for attributes in _ROW.findall(part):
        number = _ROW_NUMBER.search(attributes)
        last_row = int(number[1]) if number else last_row + 1
        if b"hidden=" in attributes and _HIDDEN.search(attributes):
            scan.hidden_rows.add(last_row)
    if part.count(b"<row") - len(_EMPTY_ROW.findall(part)) > MOST_ROWS:
        scan.too_far = f"it has more than {MOST_ROWS:,} rows"
    elif part.count(b"<f>") + part.count(b"<f ") > MOST_FORMULAS:
        scan.too_far = f"it has more than {MOST_FORMULAS:,} formulas"
    elif last_row * _width(part) > MOST_CELLS or b"<f>" in part or b"<f " in part or b't="e"' in part:
        _look_at_cells(part, scan, last_row)
    if not scan.too_far and _length_of_texts(part, strings) > LONGEST_TEXTS:
        scan.too_far = "its texts together are longer than any inspection's"
    return scan


def _without_prefix(part: bytes) -> bytes:
    """Return XML without the prefix that some programs put before every name."""
    match = _PREFIX.search(part[:2000])
    if not match:
        return part
    return part.replace(b"<" + match[1] + b":", b"<").replace(b"</" + match[1] + b":", b"</")


def _width(part: bytes) -> int:
    """Return the number of columns that cells are named in, at least 26."""
    named = part.count(b'<c r="')
    if named == part.count(b"<c ") + part.count(b"<c>") + part.count(b"<c/>") and not _TWO_LETTERS.search(part):
        return 26
    widest = max((row.count(b"<c") for row in part.split(b"<row")), default=0)
    return max([widest, *map(column_number, set(_REFERENCE.findall(part)))])


def column_number(name: bytes) -> int:
    """Return the number of a column, counted from 1.

    >>> column_number(b"A"), column_number(b"XFD")
    (1, 16384)
    """
    number = 0
    for letter in name:
        number = number * 26 + letter - 64
    return number


def _pieces(part: bytes, start: bytes, end: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Cut XML at each `start` and yield attributes and content up to `end`."""
    for piece in part.split(start)[1:]:
        attributes, _, content = piece.partition(b">")
        yield attributes, b"" if attributes.endswith(b"/") else content.partition(end)[0]


def _look_at_cells(part: bytes, scan: Scan, rows: int) -> None:
    """Go through the cells with care: formulas without result, errors, and the last filled cell."""
    last_row = last_column = 0
    unnamed = part.count(b"<c>")
    farthest = ("", "")
    for attributes, content in _pieces(part, b"<c ", b"</c>"):
        name = _CELL_NAME.search(b" " + attributes) if content else None
        if not name:
            unnamed += bool(content)
            continue
        column, row = column_number(name[1]), int(name[2])
        kind = _TYPE.search(attributes)
        value = _VALUE.search(content)
        formula = _FORMULA.search(content)
        if kind and kind[1] == b"e":
            scan.damage[row - 1, column - 1] = value[1].decode("utf-8", "replace") if value else "#error"
        elif formula and not value and not (kind and kind[1] == b"str"):
            scan.damage[row - 1, column - 1] = f"={html.unescape(formula[1].decode('utf-8', 'replace'))}"
        elif value:
            cell = f"{name[1].decode()}{row}"
            if row > last_row:
                last_row, farthest = row, (cell, farthest[1])
            if column > last_column:
                last_column, farthest = column, (farthest[0], cell)
    if unnamed and rows * _width(part) > MOST_CELLS:
        scan.too_far = f"it claims {rows:,} rows and its cells do not say where they stand"
    if last_row * last_column > MOST_CELLS:
        cells = " and ".join(dict.fromkeys(farthest))
        scan.too_far = f"something stands as far out as {cells}; empty that, or copy the table into a new sheet"


def _length_of_texts(part: bytes, strings: bytes) -> int:
    """Return the length of all shared texts as often as cells use them, or less when it is surely small."""
    lengths = [len(item) for item in _STRING_ITEM.split(strings)[1:]]
    if part.count(b't="s"') * max(lengths, default=0) <= LONGEST_TEXTS:
        return 0
    uses = (int(number) for number in _STRING_USE.findall(part))
    return sum(lengths[index] for index in uses if index < len(lengths))


_TABLE_NAME = re.compile(rb'table:name="([^"<>]*)"')
_ROWS_REPEATED = re.compile(rb'table:number-rows-repeated="(\d{1,9})"')
_COLUMNS_REPEATED = re.compile(rb'table:number-columns-repeated="(\d{1,9})"')
_ROWS_SPANNED = re.compile(rb'table:number-rows-spanned="(\d{1,9})"')
_ODS_FORMULA = re.compile(rb'table:formula="([^"]*)"')
_SHOWN_TEXT = re.compile(rb">([^<>]+)<")


def scan_ods(content: bytes) -> Mapping[str, Scan]:
    """Look at every table of an OpenDocument spreadsheet's content; raises ValueError when it is cut."""
    if not content.rstrip().endswith(b"</office:document-content>"):
        raise ValueError("its content ends in the middle")
    if _ODD_ODS_TAG.search(content):
        raise ValueError("its content is written as no spreadsheet program does it")
    scans: dict[str, Scan] = {}
    content = content.replace(b"<table:covered-table-cell", b"<table:table-cell")
    for attributes, table in _pieces(content, b"<table:table ", b"</table:table>"):
        name = _TABLE_NAME.search(attributes)
        known = html.unescape(name[1].decode("utf-8", "replace")) if name else ""
        if known in scans:
            raise ValueError(f"two sheets are called {known}")
        scans[known] = _scan_table(table)
    return scans


def _scan_table(table: bytes) -> Scan:
    scan = Scan()
    row = last_row = last_column = 0
    for attributes, cells in _pieces(table, b"<table:table-row", b"</table:table-row>"):
        repeated = _repeats(_ROWS_REPEATED, attributes)
        if b"office:value-type" in cells or b"table:formula" in cells:
            last_row = row + repeated
            last_column = max(last_column, _scan_row(cells, row, scan))
        if b'visibility="collapse"' in attributes or b'visibility="filter"' in attributes:
            scan.hidden_rows.update(range(row + 1, row + 1 + min(repeated, 10_000)))
        row += repeated
    if last_row * last_column > MOST_CELLS or last_row > MOST_ROWS:
        claim = f"it claims {last_row:,} rows of {last_column:,} filled columns"
        scan.too_far = f"{claim}; copy the table into a new sheet"
    return scan


def _scan_row(cells: bytes, row: int, scan: Scan) -> int:
    """Look at the cells of a row; return the column after the last filled one."""
    column = last = 0
    for attributes, content in _pieces(cells, b"<table:table-cell", b"</table:table-cell>"):
        repeated = _repeats(_COLUMNS_REPEATED, attributes)
        formula = _ODS_FORMULA.search(attributes)
        spanned = _repeats(_ROWS_SPANNED, attributes)
        if spanned > 1:
            scan.merged.append(((row, column), (row + spanned - 1, column)))
        if b'calcext:value-type="error"' in attributes:
            shown = _SHOWN_TEXT.search(content)
            scan.damage[row, column] = shown[1].decode("utf-8", "replace") if shown else "#error"
            last = column + repeated
        elif b"office:value-type" in attributes:
            last = column + repeated
        elif formula:
            scan.damage[row, column] = html.unescape(formula[1].decode("utf-8", "replace"))
        column += repeated
    return last


def _repeats(pattern: re.Pattern[bytes], attributes: bytes) -> int:
    match = pattern.search(attributes)
    return int(match[1]) if match else 1
