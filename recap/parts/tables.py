"""A catalogue's file as columns: text tables through the quick reader where they are regular, else row by row."""

from __future__ import annotations

import csv
import io
import mmap
import re
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.csv as pa_csv

from recap.intake import delimited
from recap.intake.cells import SPREADSHEETS, Sheet, read_sheets, written
from recap.parts.catalogue import Floats, Rows
from recap.parts.headings import CatalogueColumn, CatalogueLayout, known_headings, lay_out
from recap.parts.numerals import decimal_mark
from recap.problem_codes import report
from recap.problems import Location, Problem, UnreadableFile

LOOK_DOWN = 40
"""Rows from the top among which the headings are looked for."""
HEAD_BYTES = 200_000
MOST_UNTIDY_ROWS = 1_000_000
"""Rows of a text table that has to be read row by row."""
SAMPLE_ROWS = 300
"""Rows that tell how a column is written; one that turns out otherwise further down is read again as texts."""
MOST_DAMAGE_SHOWN = 20
_NUMERIC = frozenset({"number", "capacitance", "volts", "ripple", "resistance", "loss", "price", "endurance", "range"})
_NULLS = ["", "-", "–", "n/a", "N/A", "na", "NA", "?"]

Cells = Any
"""A column as read: an Arrow dictionary of texts, an array of plain numbers, or texts that are not looked into."""


@dataclass(frozen=True)
class RawTable:
    """One table of a file: the columns that are known, cell by cell, and where each row stands in the file."""

    file: str
    sheet: str
    layout: CatalogueLayout
    cells: Mapping[int, Cells]
    file_rows: Rows
    problems: list[Problem] = field(default_factory=list)


def read_tables(path: Path, renames: Mapping[str, str]) -> tuple[list[RawTable], list[Problem]]:
    """Return the tables of a file that have headings of a catalogue; raises UnreadableFile."""
    if not path.is_file() or path.stat().st_size == 0 or path.suffix.lower() in SPREADSHEETS or _is_workbook(path):
        sheets, problems = read_sheets(path)
        return _from_sheets(sheets, renames, problems)
    with path.open("rb") as stream:
        data: Any = mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ)
    try:
        table = _quick(path, data, renames)
        if table is not None:
            return [table], []
        sheets, problems = _by_rows(path, bytes(data))
        return _from_sheets(sheets, renames, problems)
    finally:
        _close(data)


def _close(data: Any) -> None:
    """Close the map unless some array still looks into it."""
    with suppress(BufferError):  # then it goes with the last array
        data.close()


def _is_workbook(path: Path) -> bool:
    with path.open("rb") as stream:
        start = stream.read(8)
    return not start[:1].strip() or start.startswith(
        (b"PK", b"\xd0\xcf\x11\xe0", b"%PDF", b"<", b"{\\rtf", b"\x1f\x8b")
    )


def _quick(path: Path, data: Any, renames: Mapping[str, str]) -> RawTable | None:
    """Read a regular UTF-8 table at once; None where it is not that regular."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return None
    try:
        head = data[:HEAD_BYTES].decode("utf-8-sig", errors="ignore" if len(data) > HEAD_BYTES else "strict")
    except UnicodeDecodeError:
        return None
    separator = delimited.separator(head)
    try:
        rows = list(csv.reader(io.StringIO(head, newline=""), delimiter=separator))
    except csv.Error:
        return None
    if len(data) > HEAD_BYTES:
        rows = rows[:-1]
    start = _heading_row(rows, renames)
    if start is None or any("\n" in cell for row in rows[: start + 1] for cell in row):
        return None
    headings = [" ".join(cell.split()) for cell in rows[start]]
    layout, problems = _lay_out(str(path), "", start, headings, renames)
    sample = rows[start + 1 : start + 1 + SAMPLE_ROWS]
    wanted = sorted({*layout.columns, *(index for pair in layout.pairs for index in pair)})
    types = _types(layout, wanted, sample, separator)
    mark = _mark(layout, sample)
    for attempt in (types, dict.fromkeys(wanted, pa.string())):
        try:
            table = _parse(data, len(headings), start + 1, separator, attempt, "," if mark == "," else ".")
        except pa.ArrowInvalid as error:
            if "conversion error" in str(error) and attempt is types:
                continue
            return None
        break
    else:
        return None
    file_rows = np.arange(start + 2, start + 2 + table.num_rows, dtype=np.int64)
    blank = _blank_rows(table)
    if blank.any():
        table, file_rows = table.filter(pa.array(~blank)), file_rows[~blank]
    with ThreadPoolExecutor() as pool:
        read = pool.map(lambda index: _column(table.column(f"{index}"), layout.columns.get(index)), wanted)
        cells = dict(zip(wanted, read, strict=True))
    return RawTable(str(path), "", layout, cells, file_rows, problems)


def _parse(data: Any, width: int, skip: int, separator: str, types: Mapping[int, pa.DataType], point: str) -> pa.Table:
    return pa_csv.read_csv(
        pa.BufferReader(pa.py_buffer(data)),
        read_options=pa_csv.ReadOptions(
            column_names=[f"{index}" for index in range(width)], skip_rows=skip, block_size=1 << 23
        ),
        parse_options=pa_csv.ParseOptions(
            delimiter=separator, newlines_in_values=data.find(b'"') >= 0, ignore_empty_lines=False
        ),
        convert_options=pa_csv.ConvertOptions(
            column_types={f"{index}": kind for index, kind in types.items()},
            include_columns=[f"{index}" for index in types],
            null_values=_NULLS,
            decimal_point=point,
        ),
    )


def _blank_rows(table: pa.Table) -> np.ndarray:
    """Return where no column holds anything."""
    blank = np.ones(table.num_rows, bool)
    for column in table.columns:
        empty = pc.is_null(column) if not pa.types.is_string(column.type) else pc.equal(column, "")
        blank &= pc.fill_null(empty, True).to_numpy()
        if not blank.any():
            break
    return blank


def _types(
    layout: CatalogueLayout, wanted: Iterable[int], sample: Sequence[Sequence[str]], separator: str
) -> dict[int, pa.DataType]:
    """Choose for each column whether its cells are plain numbers, by the rows at the top."""
    mark = _mark(layout, sample)
    number = re.compile(r"-?\d+(?:,\d+)?" if mark == "," else r"-?(?:\d+(?:\.\d*)?|\.\d+)")
    prices = {index for pair in layout.pairs for index in pair}
    chosen: dict[int, pa.DataType] = {}
    for index in wanted:
        reads = "number" if index in prices else layout.columns[index].reads
        texts = [row[index] for row in sample if index < len(row) and row[index] not in _NULLS]
        plain = reads in _NUMERIC and (mark is not None or separator != ";")
        if plain and texts and all(number.fullmatch(text) for text in texts):
            chosen[index] = pa.float64()
        elif reads == "whole" and texts and all(text.isdigit() for text in texts):
            chosen[index] = pa.int64()
        else:
            chosen[index] = pa.string()
    return chosen


def _mark(layout: CatalogueLayout, sample: Sequence[Sequence[str]]) -> str | None:
    numeric = {index for index, column in layout.columns.items() if column.reads in _NUMERIC}
    numeric |= {index for pair in layout.pairs for index in pair}
    return decimal_mark(row[index] for row in sample for index in numeric if index < len(row))


def _column(column: pa.ChunkedArray, about: CatalogueColumn | None) -> Cells:
    if pa.types.is_floating(column.type) or pa.types.is_integer(column.type):
        values: Floats = pc.cast(column, pa.float64()).to_numpy()
        return values
    if about is not None and about.reads == "text":
        return column.combine_chunks()
    return column.dictionary_encode().unify_dictionaries().combine_chunks()


def _by_rows(path: Path, data: bytes) -> tuple[list[Sheet], list[Problem]]:
    """Read a text table with blank, short or long rows, of any encoding."""
    text, problems = delimited.decode(data, path)
    csv.field_size_limit(delimited.LONGEST_CELL)
    separator = delimited.separator(text)
    rows: list[list[Any]] = []
    try:
        for cells in csv.reader(io.StringIO(text, newline=""), delimiter=separator):
            if len(cells) > delimited.MOST_COLUMNS:
                reason = f"row {len(rows) + 1} has {len(cells):,} columns; this is no table"
                raise UnreadableFile(f"{path}: {reason}")
            if len(rows) >= MOST_UNTIDY_ROWS:
                reason = f"more than {MOST_UNTIDY_ROWS:,} rows, and not as regular as a table of that size must be"
                raise UnreadableFile(f"{path}: {reason}")
            rows.append(cells)
    except csv.Error as error:
        raise UnreadableFile(f"{path}: {error}; a quotation mark is probably not closed") from None
    return [Sheet(str(path), "", rows)], problems


def _from_sheets(
    sheets: Sequence[Sheet], renames: Mapping[str, str], problems: list[Problem]
) -> tuple[list[RawTable], list[Problem]]:
    tables = []
    for sheet in sheets:
        texts = [[written(value) for value in row] for row in sheet.rows]
        start = _heading_row(texts, renames)
        place = Location(sheet.file, sheet.name)
        if start is None:
            if any(any(row) for row in texts):
                hint = 'name its columns with --heading "OLD=NEW"'
                problems.append(report("no-catalogue-headings", "no row of headings was found", place, hint=hint))
            continue
        headings = [" ".join(cell.split()) for cell in texts[start]]
        layout, found = _lay_out(sheet.file, sheet.name, start, headings, renames)
        numbers = [number for number in range(start + 1, len(texts)) if any(texts[number])]
        long = next((number for number in numbers if len(texts[number]) > len(headings)), None)
        if long is not None:
            message = "has more cells than there are headings; what is beyond them is not read"
            found.append(report("catalogue-row", message, sheet.location(long)))
        wanted = {*layout.columns, *(index for pair in layout.pairs for index in pair)}
        found += _damage(sheet, start, wanted, headings)
        cells: dict[int, Any] = {}
        for index in wanted:
            column = [texts[number][index] if index < len(texts[number]) else "" for number in numbers]
            about = layout.columns.get(index)
            is_text = about is not None and about.reads == "text"
            cells[index] = column if is_text else pa.array(column, pa.string()).dictionary_encode()
        tables.append(RawTable(sheet.file, sheet.name, layout, cells, np.array(numbers, np.int64) + 1, found))
    return tables, problems


def _damage(sheet: Sheet, start: int, wanted: Collection[int], headings: Sequence[str]) -> list[Problem]:
    """Report cells that look empty and are not: the first ones each, the rest by their number."""
    places = sorted((row, column) for row, column in sheet.damage if row > start and column in wanted)
    found = [sheet.damage_at(row, column, headings[column]) for row, column in places[:MOST_DAMAGE_SHOWN]]
    problems = [problem for problem in found if problem is not None]
    rest = places[MOST_DAMAGE_SHOWN:]
    if rest:
        message = f"{len(rest):,} more cells are errors or formulas without a saved result; they stay unknown"
        problems.append(report("not-calculated", message, sheet.location(*rest[0])))
    return problems


def _heading_row(rows: Sequence[Sequence[str]], renames: Mapping[str, str]) -> int | None:
    counts = [known_headings(row, renames) for row in rows[:LOOK_DOWN]]
    best = max(counts, default=0)
    return counts.index(best) if best >= 2 else None


def _lay_out(
    file: str, sheet: str, row: int, headings: Sequence[str], renames: Mapping[str, str]
) -> tuple[CatalogueLayout, list[Problem]]:
    place: Callable[..., Location] = Sheet(file, sheet, []).location
    return lay_out(headings, renames, [place(row, index, text) for index, text in enumerate(headings)])
