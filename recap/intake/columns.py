"""The columns of every sheet, as data/tables/columns.csv defines them."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from recap.ruledata import number, table

SHEETS = ("Unit", "Boards", "Rails", "Capacitors")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: the field it fills and how its cells are read.

    The range is in `unit`; a bare number counts in `bare_unit`, which a heading such as nF may change.
    """

    sheet: str
    field: str
    heading: str
    reads: str
    unit: str
    bare_unit: str
    low: float | None
    high: float | None
    list: str
    unlocks: str
    essential: bool


@cache
def columns(sheet: str) -> tuple[Column, ...]:
    """Return the columns of one sheet in the workbook's order."""
    return tuple(
        Column(
            sheet=row["sheet"],
            field=row["field"],
            heading=row["heading"],
            reads=row["reads"],
            unit=row["unit"],
            bare_unit=row["unit"],
            low=number(row, "low"),
            high=number(row, "high"),
            list=row["list"],
            unlocks=row["unlocks"],
            essential=row["group"] == "essential",
        )
        for row in table("columns")
        if row["sheet"] == sheet
    )


@cache
def by_name(sheet: str) -> Mapping[str, Column]:
    """Return the columns of one sheet by every plain form of their headings and synonyms."""
    rows = [row for row in table("columns") if row["sheet"] == sheet]
    names: dict[str, Column] = {}
    for wanted in ("heading", "synonyms"):
        for row, column in zip(rows, columns(sheet), strict=True):
            for name in row[wanted].split(";"):
                if plain_name(name):
                    names.setdefault(plain_name(name), column)
    return names


@cache
def group_names(sheet: str) -> frozenset[str]:
    """Return the plain names of a sheet's folded groups, which head narrow columns without cells."""
    return frozenset(plain_name(row["group"]) for row in table("columns") if row["sheet"] == sheet)


_FILLING = re.compile(r"[\s_\-‐‑–—…./\\()\[\]{}:;,'\"*?!]+")


@lru_cache(maxsize=65536)
def plain_name(text: str) -> str:
    """Return a heading without case, spaces and punctuation, so that spellings meet.

    >>> plain_name("Lead spacing (mm)"), plain_name(" REF. ")
    ('leadspacingmm', 'ref')
    """
    return _FILLING.sub("", unicodedata.normalize("NFKC", text).casefold()).replace("μ", "u").replace("µ", "u")
