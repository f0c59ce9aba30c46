"""Rule data as frozen tables: each row of data/tables/*.csv names its source."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from recap.sources import data_folder

Row = Mapping[str, str]


@cache
def table(name: str) -> tuple[Row, ...]:
    """Return the rows of data/tables/NAME.csv as read-only mappings of text; raises FileNotFoundError."""
    path = data_folder() / "tables" / f"{name}.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        return tuple(MappingProxyType(row) for row in csv.DictReader(stream))


def number(row: Row, column: str) -> float | None:
    """Return a cell of a table as a number, or None where the table leaves it empty."""
    text = row[column]
    return float(text) if text else None
