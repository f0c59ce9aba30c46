"""Rows of one table that belong together: one row a price break becomes one part with all its breaks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from recap.intake.cells import Sheet
from recap.parts import prices
from recap.parts.catalogue import Floats, Rows, Shelf, Words
from recap.problem_codes import report
from recap.problems import Location, Problem

_MUST_AGREE = ("capacitance_f", "rated_voltage_v", "diameter_mm", "length_mm")


@dataclass(frozen=True, slots=True)
class PartRows:
    """The columns of a table while they are put together."""

    file: str
    sheet: str
    size: int
    numbers: Mapping[str, Floats]
    words: Mapping[str, Words]
    texts: Mapping[str, Any]
    file_rows: Rows
    breaks: prices.PriceColumns

    def shelf(self, drawer: bool) -> Shelf:
        """Return them as a shelf."""
        return Shelf(
            self.file, self.sheet, self.size, self.numbers, self.words, self.texts, self.file_rows,
            self.breaks.starts, self.breaks.quantities, self.breaks.prices, drawer,
        )  # fmt: skip

    def location(self, row: int) -> Location:
        """Return the address of a row."""
        return Sheet(self.file, self.sheet, []).location(int(self.file_rows[row]) - 1)


def merge_rows(rows: PartRows, quantities: Floats) -> tuple[PartRows, list[Problem]]:
    """Return one row for each order code of a seller, with the price breaks of all its rows; the first row counts."""
    groups, firsts = _groups(rows)
    entries = prices.entry_rows(rows.breaks)
    stated = np.where(np.isnan(quantities), 1.0, quantities)[entries]
    given = np.where(rows.breaks.quantities > 1, rows.breaks.quantities, stated)
    breaks = prices.from_entries(len(firsts), groups[entries], given, rows.breaks.prices)
    problems = _odd_prices(rows, breaks, firsts)
    for name in _MUST_AGREE:
        values = rows.numbers.get(name)
        if values is None:
            continue
        first = values[firsts][groups]
        differs = np.nonzero((values != first) & ~np.isnan(values) & ~np.isnan(first))[0]
        if len(differs):
            message = f"{len(differs)} rows name another {name.rsplit('_', 1)[0].replace('_', ' ')} "
            message += "than the first row of their order code, which counts"
            problems.append(report("catalogue-rows-disagree", message, rows.location(int(differs[0]))))
    merged = PartRows(
        rows.file,
        rows.sheet,
        len(firsts),
        {name: values[firsts] for name, values in rows.numbers.items()},
        {name: words.take(firsts) for name, words in rows.words.items()},
        {name: _taken(column, firsts) for name, column in rows.texts.items()},
        rows.file_rows[firsts],
        breaks,
    )
    return merged, problems


def check_codes(rows: PartRows) -> list[Problem]:
    """Report order codes that come again, and prices that rise with the quantity."""
    problems = _odd_prices(rows, rows.breaks, np.arange(rows.size))
    codes = rows.texts.get("order_code")
    if codes is None or rows.size < 2:
        return problems
    groups, firsts = _groups(rows)
    if len(firsts) < rows.size:
        again = np.ones(rows.size, bool)
        again[firsts] = False
        again &= np.array(groups) >= 0
        message = f"{int(again.sum())} rows repeat an order code of their seller; each stays a part of its own"
        problems.append(report("catalogue-code-again", message, rows.location(int(np.nonzero(again)[0][0]))))
    return problems


def _odd_prices(rows: PartRows, breaks: prices.PriceColumns, firsts: Rows) -> list[Problem]:
    odd = prices.rising(breaks)
    if not len(odd):
        return []
    message = f"{len(odd)} parts cost more each at a larger quantity; the prices are taken as they stand"
    return [report("catalogue-prices-rise", message, rows.location(int(firsts[odd[0]])))]


def _groups(rows: PartRows) -> tuple[Rows, Rows]:
    """Return the group of every row, and each group's first row; a row without a code is a group of its own."""
    column = rows.texts.get("order_code", rows.texts.get("mpn"))
    if column is None:
        every = np.arange(rows.size)
        return every, every
    texts = pa.array(column, pa.string()) if isinstance(column, list) else column
    if pc.count_distinct(texts, mode="all").as_py() == rows.size:
        every = np.arange(rows.size)
        return every, every
    encoded = texts.dictionary_encode()
    codes = encoded.indices.fill_null(-1).to_numpy(zero_copy_only=False).astype(np.int64)
    names = encoded.dictionary
    seller = rows.words.get("seller")
    if "" in (blank := names.to_pylist()):
        codes[codes == blank.index("")] = -1
    keys = codes * (len(seller.names) + 1) + seller.codes + 1 if seller is not None else codes
    keys = np.where(codes < 0, -np.arange(1, rows.size + 1), keys)
    _, firsts, groups = np.unique(keys, return_index=True, return_inverse=True)
    order = np.argsort(firsts, kind="stable")
    rank = np.empty_like(order)
    rank[order] = np.arange(len(order))
    return rank[groups], firsts[order]


def _taken(column: Any, rows: Rows) -> Any:
    return [column[row] for row in rows] if isinstance(column, list) else column.take(pa.array(rows))
