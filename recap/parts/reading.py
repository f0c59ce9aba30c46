"""Catalogue files to one catalogue: what is missing stays unknown, what cannot be read is reported, no row is lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa

from recap.intake.cells import Sheet
from recap.parts import prices
from recap.parts.cache import load, store
from recap.parts.catalogue import Catalogue, Floats, Rows, Shelf, Words
from recap.parts.cells import ReadTexts, read_numbers, read_texts
from recap.parts.descriptions import read_descriptions
from recap.parts.headings import HIGH_FROM_HZ, CatalogueColumn, renaming
from recap.parts.merging import PartRows, check_codes, merge_rows
from recap.parts.numerals import read_number
from recap.parts.tables import RawTable, read_tables
from recap.problem_codes import report
from recap.problems import Location, Problem

MOST_SHOWN = 20
"""Distinct texts of a column that are reported one by one; the rest are counted."""
_FIELDS = {
    "capacitance": "capacitance_f",
    "rated_voltage": "rated_voltage_v",
    "endurance": "endurance_h",
    "temperature_range": "upper_category_temperature_c",
}
_AT_FREQUENCY = ("ripple", "esr", "impedance")


def read_catalogues(
    paths: Sequence[str | Path], headings: Mapping[str, str] | None = None, *, cache: bool = True
) -> tuple[Catalogue, list[Problem]]:
    """Read catalogue files as one catalogue; raises UnreadableFile, and RecapError for a heading to nowhere.

    What was read of a file is kept in the platform's cache folder, by the file's content, unless `cache` is off.
    """
    renames = renaming(headings or {})
    shelves: list[Shelf] = []
    problems: list[Problem] = []
    for path in map(Path, paths):
        kept = load(path, renames) if cache else None
        found, said = kept or _read(path, renames)
        if cache and kept is None:
            store(path, renames, found, said)
        shelves += found
        problems += said
    return Catalogue(tuple(shelves)), problems


def _read(path: Path, renames: Mapping[str, str]) -> tuple[list[Shelf], list[Problem]]:
    tables, problems = read_tables(path, renames)
    shelves = []
    for table in tables:
        builder = _Builder(table)
        shelves.append(builder.shelf())
        problems += builder.problems
    return shelves, problems


@dataclass
class _Builder:
    """Fills the columns of one shelf from one table."""

    table: RawTable
    numbers: dict[str, Floats] = field(default_factory=dict)
    words: dict[str, Words] = field(default_factory=dict)
    texts: dict[str, Any] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.size = len(self.table.file_rows)
        self.problems += self.table.problems
        self.layout = self.table.layout
        self._break_columns: list[tuple[float, Floats]] = []
        self._entries: list[tuple[Rows, Floats, Floats]] = []
        self._currencies: dict[str, None] = {}
        self._at_frequency: dict[str, list[tuple[Floats, Floats | float | None]]] = {}

    def shelf(self) -> Shelf:
        """Read every column, then what columns say together."""
        for index, column in self.layout.columns.items():
            self._read_column(index, column)
        for quantity, price in self.layout.pairs:
            self._read_pair(quantity, price)
        self._place_at_frequency()
        if "capacitance_f" not in self.numbers and "text" in self.texts:
            read_descriptions(self.texts["text"], self.size, self._fill, self._fill_words)
        self._settle_currency()
        rows = PartRows(
            self.table.file, self.table.sheet, self.size, self.numbers, self.words, self.texts,
            self.table.file_rows, self._breaks(),
        )  # fmt: skip
        if self.layout.has("break_quantity"):
            rows, found = merge_rows(rows, self.numbers.pop("break_quantity", np.full(self.size, np.nan)))
        else:
            found = check_codes(rows)
        self.problems += found
        drawer = self.layout.has("stock") and not self._sold()
        if drawer:
            message = "has a stock but neither prices nor a seller: taken as your own drawer, limited and free"
            self.problems.append(report("own-drawer", message, Location(self.table.file, self.table.sheet)))
        return rows.shelf(drawer)

    def _sold(self) -> bool:
        return self.layout.has("price") or bool(self.layout.pairs) or self.layout.has("seller")

    def _read_column(self, index: int, column: CatalogueColumn) -> None:
        cells = self.table.cells[index]
        if isinstance(cells, np.ndarray):
            values, outside = read_numbers(column, cells)
            self._report_outside(index, column, cells, outside)
            self._take_numbers(column, values)
            return
        if column.reads == "text":
            self.texts[column.field] = cells
            return
        texts, codes = _distinct(cells)
        read = read_texts(column, texts)
        self._report(index, column, texts, codes, read)
        for name, values in read.numbers.items():
            self._take(name, column, values[codes] if (codes >= 0).all() else np.append(values, np.nan)[codes])
        for name, names in read.words.items():
            self._fill_words(name, names, codes)
        if read.breaks:
            self._take_breaks(read, codes)
            self._currencies |= dict.fromkeys(_currencies(texts))

    def _take_numbers(self, column: CatalogueColumn, values: Floats) -> None:
        if column.reads == "tolerance":
            self._fill("tolerance_low", -values / 100)
            self._fill("tolerance_high", values / 100)
        elif column.field == "price":
            self._break_columns.append((column.break_quantity or 1.0, values))
        else:
            self._take(_FIELDS.get(column.field, column.field), column, values)
        if column.currency:
            self._currencies[column.currency] = None

    def _take(self, name: str, column: CatalogueColumn, values: Floats) -> None:
        if name in _AT_FREQUENCY or (name in ("ripple_hz", "esr_hz") and column.field in _AT_FREQUENCY):
            if name.endswith("_hz"):
                base = self._at_frequency[column.field.replace("impedance", "impedance")]
                base[-1] = (base[-1][0], np.where(np.isnan(values), _known(base[-1][1]), values))
            else:
                place = column.field if column.field in _AT_FREQUENCY else name
                self._at_frequency.setdefault(place, []).append((values, column.frequency_hz))
            return
        self._fill(name, values)
        if name == "endurance_h" and column.temperature_c is not None:
            self._fill("endurance_temperature_c", np.where(np.isnan(values), np.nan, column.temperature_c))

    def _fill(self, name: str, values: Floats) -> None:
        """Put values where none is known yet."""
        known = self.numbers.get(name)
        self.numbers[name] = values if known is None else np.where(np.isnan(known), values, known)

    def _fill_words(self, name: str, names: Sequence[str], codes: Rows) -> None:
        distinct = tuple(dict.fromkeys(each for each in names if each))
        place = {each: number for number, each in enumerate(distinct)} | {"": -1}
        new = np.array([*(place[each] for each in names), -1], np.int32)[codes]
        old = self.words.get(name)
        if old is None:
            self.words[name] = Words(new, distinct)
            return
        together = tuple(dict.fromkeys((*old.names, *distinct)))
        moved = np.array([*(together.index(each) for each in distinct), -1], np.int32)[new]
        self.words[name] = Words(np.where(old.codes >= 0, old.codes, moved), together)

    def _place_at_frequency(self) -> None:
        """Put ripple and ESR to the low or the high frequency; one without a frequency stays without."""
        for base, unit, sources in (("ripple", "a", ("ripple",)), ("esr", "ohm", ("esr", "impedance"))):
            given = self.numbers.pop(f"{base}_hz", None)
            for source in sources:
                for values, frequency in self._at_frequency.get(source, []):
                    if isinstance(frequency, float):
                        end = "high" if frequency >= HIGH_FROM_HZ else "low"
                        if f"{base}_{end}_{unit}" not in self.numbers:
                            self.numbers[f"{base}_{end}_{unit}"] = values
                            self.numbers[f"{base}_{end}_hz"] = np.broadcast_to(frequency, self.size)
                            continue
                    hz = np.broadcast_to(np.asarray(_known(frequency), float), self.size)
                    if given is not None:
                        hz = np.where(np.isnan(hz), given, hz)
                    high = hz >= HIGH_FROM_HZ
                    for end, here in (("low", ~high), ("high", high)):
                        self._put_pair(f"{base}_{end}_{unit}", f"{base}_{end}_hz", values, hz, here)

    def _put_pair(self, name: str, hz_name: str, values: Floats, hz: Floats, here: np.ndarray) -> None:
        here = here & ~np.isnan(values)
        if not here.any():
            return
        free = np.isnan(self.numbers[name]) if name in self.numbers else np.ones(self.size, bool)
        for column, new in ((name, values), (hz_name, hz)):
            old = self.numbers.get(column, np.broadcast_to(np.nan, self.size))
            self.numbers[column] = np.where(here & free, new, old)

    def _read_pair(self, quantity_index: int, price_index: int) -> None:
        quantities, found = (self._plain(index) for index in (quantity_index, price_index))
        rows = np.nonzero(~np.isnan(quantities) & ~np.isnan(found))[0]
        self._entries.append((rows, quantities[rows], found[rows]))

    def _plain(self, index: int) -> Floats:
        """Return the cells of a column as plain numbers."""
        cells = self.table.cells[index]
        if isinstance(cells, np.ndarray):
            return cells
        texts, codes = _distinct(cells)
        values = np.full(len(texts) + 1, np.nan)
        for number, text in enumerate(texts):
            try:
                values[number] = read_number(text, None, "", "")
            except ValueError as error:
                if text.strip():
                    self._say(index, "", text, codes, number, "catalogue-cell", f"{error}; it stays unknown")
        return values[codes]

    def _take_breaks(self, read: ReadTexts, codes: Rows) -> None:
        counts = np.array([*(len(each) for each in read.breaks), 0])
        starts = np.concatenate([[0], np.cumsum(counts)])
        flat = np.array([pair for each in read.breaks for pair in each], float).reshape(-1, 2)
        lengths = counts[codes]
        rows = np.repeat(np.arange(self.size), lengths)
        inside = np.arange(len(rows)) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        entries = np.repeat(starts[codes], lengths) + inside
        self._entries.append((rows, flat[entries, 0], flat[entries, 1]))

    def _breaks(self) -> prices.PriceColumns:
        if not self._entries and not self._break_columns:
            return prices.no_prices(self.size)
        if not self._entries:
            return prices.from_columns(*zip(*self._break_columns, strict=True))
        entries = list(self._entries)
        for quantity, values in self._break_columns:
            rows = np.nonzero(~np.isnan(values))[0]
            entries.append((rows, np.full(len(rows), quantity), values[rows]))
        return prices.from_entries(self.size, *(np.concatenate(each) for each in zip(*entries, strict=True)))

    def _settle_currency(self) -> None:
        if "currency" not in self.words and len(self._currencies) == 1:
            names = tuple(self._currencies)
            self.words["currency"] = Words(np.zeros(self.size, np.int32), names)
        elif "currency" not in self.words and len(self._currencies) > 1:
            message = f"prices in several currencies ({', '.join(self._currencies)}) and no column for it"
            self.problems.append(report("catalogue-currency", message, Location(self.table.file, self.table.sheet)))

    def _report(self, index: int, column: CatalogueColumn, texts: Sequence[str], codes: Rows, read: ReadTexts) -> None:
        for failure in read.failures[:MOST_SHOWN]:
            self._say(
                index, column.heading, texts[failure.index], codes, failure.index,
                failure.code, failure.message, failure.hint,
            )  # fmt: skip
        rest = read.failures[MOST_SHOWN:]
        if rest:
            rows = int(np.isin(codes, [failure.index for failure in rest]).sum())
            message = f"{len(rest)} more texts in {rows} cells of this column cannot be read; they stay unknown"
            self._say(index, column.heading, "", codes, rest[0].index, "catalogue-cell", message)

    def _say(
        self, index: int, heading: str, text: str, codes: Rows, code: int, problem: str, message: str, hint: str = ""
    ) -> None:
        rows = np.nonzero(codes == code)[0]
        more = f" (and {len(rows) - 1} more cells)" if text and len(rows) > 1 else ""
        place = self._location(int(rows[0]), index, heading)
        self.problems.append(report(problem, message + more, place, text[:80], hint))

    def _report_outside(self, index: int, column: CatalogueColumn, cells: Floats, outside: np.ndarray) -> None:
        rows = np.nonzero(outside)[0]
        if len(rows):
            more = f" (and {len(rows) - 1} more cells)" if len(rows) > 1 else ""
            message = f"is outside anything that occurs as {column.heading.lower()}; it stays unknown{more}"
            place = self._location(int(rows[0]), index, column.heading)
            self.problems.append(report("out-of-range", message, place, f"{cells[rows[0]]:g}"))

    def _location(self, row: int, index: int, heading: str) -> Location:
        sheet = Sheet(self.table.file, self.table.sheet, [])
        return sheet.location(int(self.table.file_rows[row]) - 1, index, heading)


def _distinct(cells: pa.DictionaryArray) -> tuple[list[str], Rows]:
    """Return the distinct texts of a column and the place of each cell's text, -1 for an empty cell."""
    codes = cells.indices.fill_null(-1).to_numpy(zero_copy_only=False)
    return cells.dictionary.to_pylist(), codes


def _known(frequency: Floats | float | None) -> Floats | float:
    return np.nan if frequency is None else frequency


def _currencies(texts: Sequence[str]) -> list[str]:
    symbols = {"€": "EUR", "$": "USD", "£": "GBP", "¥": "JPY"}
    return [name for sign, name in symbols.items() if any(sign in text for text in texts)]
