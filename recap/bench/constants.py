"""The single figures that the bench sums use, from data/tables/bench_constants.csv."""

from __future__ import annotations

from functools import cache

from recap.ruledata import Row, table


@cache
def _rows() -> dict[str, Row]:
    return {row["name"]: row for row in table("bench_constants")}


def constant(name: str) -> float:
    """Return a figure by its name; raises KeyError for an unknown one."""
    return float(_rows()[name]["value"])


def constant_source(name: str) -> str:
    """Return the id of the source behind a figure."""
    return _rows()[name]["source"]
