"""Price breaks in every layout: a column a quantity, one cell, pairs of columns, or rows that belong together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from recap.parts.catalogue import Floats, Rows


@dataclass(frozen=True, slots=True)
class PriceColumns:
    """The breaks of every row: those of row i are the entries from starts[i] up to starts[i + 1], by quantity."""

    starts: Rows
    quantities: Floats
    prices: Floats


def no_prices(size: int) -> PriceColumns:
    """Return that no row has a price."""
    return PriceColumns(np.zeros(size + 1, np.int64), np.empty(0), np.empty(0))


def from_columns(quantities: Sequence[float], columns: Sequence[Floats]) -> PriceColumns:
    """Return the breaks of columns that hold one quantity's price each.

    >>> found = from_columns([10.0, 1.0], [np.array([0.2, np.nan]), np.array([0.3, 0.4])])
    >>> found.starts.tolist(), found.quantities.tolist(), found.prices.tolist()
    ([0, 2, 3], [1.0, 10.0, 1.0], [0.3, 0.2, 0.4])
    """
    order = np.argsort(quantities, kind="stable")
    grid = np.stack([columns[index] for index in order], axis=1)
    wide = np.broadcast_to(np.asarray(quantities, float)[order], grid.shape)
    given = ~np.isnan(grid)
    if given.all():
        return PriceColumns(np.arange(0, grid.size + 1, grid.shape[1]), wide.ravel(), grid.ravel())
    starts = np.concatenate([[0], np.cumsum(given.sum(axis=1))])
    return PriceColumns(starts, wide[given], grid[given])


def from_entries(size: int, rows: Rows, quantities: Floats, prices: Floats) -> PriceColumns:
    """Return the breaks of entries in any order, each with its row; the first of equal quantities counts.

    >>> found = from_entries(2, np.array([1, 0, 1]), np.array([10.0, 1.0, 1.0]), np.array([0.2, 0.5, 0.3]))
    >>> found.starts.tolist(), found.quantities.tolist(), found.prices.tolist()
    ([0, 1, 3], [1.0, 1.0, 10.0], [0.5, 0.3, 0.2])
    """
    order = np.lexsort((quantities, rows))
    rows, quantities, prices = rows[order], quantities[order], prices[order]
    again = np.zeros(len(rows), bool)
    again[1:] = (rows[1:] == rows[:-1]) & (quantities[1:] == quantities[:-1])
    rows, quantities, prices = rows[~again], quantities[~again], prices[~again]
    starts = np.concatenate([[0], np.cumsum(np.bincount(rows, minlength=size))])
    return PriceColumns(starts.astype(np.int64), quantities, prices)


def entry_rows(breaks: PriceColumns) -> Rows:
    """Return the row of every entry."""
    return np.repeat(np.arange(len(breaks.starts) - 1), np.diff(breaks.starts))


def rising(breaks: PriceColumns) -> Rows:
    """Return the rows where more pieces cost more each, which is odd."""
    rows = entry_rows(breaks)
    same = rows[1:] == rows[:-1]
    odd: Rows = rows[1:][same & (breaks.prices[1:] > breaks.prices[:-1] * (1 + 1e-9))]
    return np.asarray(odd[np.diff(odd, prepend=-1) > 0])
