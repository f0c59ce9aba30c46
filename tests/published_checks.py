"""Checks against outside values, kept as data in tests/published/*.toml.

A file names its source once and holds one table per check:

    source = "cosel-a0057"                            # an id of data/sources.toml
    formula = "recap.formulas.life:ten_degree_rule"   # may also stand in a check

    [[check]]
    inputs = { endurance_h = 1000, rated_temperature_c = 105, temperature_c = 45 }   # or a list, by position
    expected = 64000
    rel_tol = 1e-6        # or abs_tol; without either, the values must be equal
    place = "sec. 2"

Optional keys of a check:

- `pick` walks into the result by attribute, key or index: "estimated_life_h.low", "readings.0.value"; a list
  of such paths picks a list of values;
- `relation` is "equals" (as above), "differs" for a published slip which must not be reproduced, or
  "within", where `pick` names two values, low and high, which must enclose `expected`;
- `table` names the published table a check comes from, of which at most ten checks count as evidence;
- `note` is for the reader.
"""

from __future__ import annotations

import importlib
import math
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "published"
COUNTED_PER_TABLE = 10
RELATIONS = ("equals", "differs", "within")
TOLERANCES = ("rel_tol", "abs_tol")
KEYS = {"formula", "source", "inputs", "expected", "place", "pick", "relation", "table", "note", *TOLERANCES}


@dataclass(frozen=True)
class Check:
    """One outside value and how to arrive at it."""

    file: str
    number: int
    source: str
    formula: str
    inputs: Mapping[str, Any] | Sequence[Any]
    expected: Any
    place: str
    pick: str | list[str] = ""
    relation: str = "equals"
    rel_tol: float = 0.0
    abs_tol: float = 0.0
    table: str = ""
    note: str = ""

    @property
    def id(self) -> str:
        return f"{self.file}-{self.number}"

    def run(self) -> None:
        """Compute the value and hold it against the published one; raises AssertionError."""
        result = self.computed()
        where = f"{self.id}: {self.formula}({self.inputs}), {self.source}, {self.place}"
        if self.relation == "within":
            low, high = (walk(result, path) for path in self.pick)
            assert low <= self.expected <= high, f"{where}: {self.expected} is outside {low} .. {high}"
            return
        one = isinstance(self.pick, str)
        found = walk(result, self.pick) if one else [walk(result, path) for path in self.pick]
        agrees = same(found, self.expected, self.rel_tol, self.abs_tol)
        if self.relation == "differs":
            assert not agrees, f"{where}: the published slip {self.expected} was reproduced"
        else:
            assert agrees, f"{where}: published {self.expected}, computed {found}"

    def computed(self) -> Any:
        module, _, name = self.formula.partition(":")
        function = getattr(importlib.import_module(module), name)
        return function(**self.inputs) if isinstance(self.inputs, Mapping) else function(*self.inputs)


def walk(value: Any, path: str) -> Any:
    """Follow attributes, keys and indices; an empty path is the value itself."""
    for step in path.split(".") if path else []:
        if isinstance(value, Mapping):
            value = value[step]
        elif step.isdigit():
            value = value[int(step)]
        else:
            value = getattr(value, step)
    return value


def same(found: Any, expected: Any, rel_tol: float, abs_tol: float) -> bool:
    """Compare numbers within the tolerance, everything else exactly, element by element."""
    if isinstance(expected, Mapping):
        return all(same(walk(found, key), value, rel_tol, abs_tol) for key, value in expected.items())
    if isinstance(expected, list):
        pairs = list(zip(found, expected, strict=False))
        return len(found) == len(expected) and all(same(f, e, rel_tol, abs_tol) for f, e in pairs)
    if isinstance(expected, bool | str):
        return bool(found == expected)
    return math.isclose(float(found), float(expected), rel_tol=rel_tol, abs_tol=abs_tol)


def load(folder: Path = FOLDER) -> list[Check]:
    """Read every check; raises on an unknown key or relation, so that a slip of the pen cannot disarm one."""
    return [check for path in sorted(folder.glob("*.toml")) for check in _file_checks(path)]


def _file_checks(path: Path) -> Iterable[Check]:
    content = tomllib.loads(path.read_text(encoding="utf-8"))
    shared = {key: value for key, value in content.items() if key != "check"}
    if not content.get("check"):
        raise ValueError(f"{path.name} holds no [[check]]")
    for number, entry in enumerate(content["check"], 1):
        fields = {**shared, **entry}
        unknown = set(fields) - KEYS
        if unknown or fields.get("relation", "equals") not in RELATIONS:
            raise ValueError(f"{path.name} check {number}: unknown {sorted(unknown) or fields['relation']}")
        yield Check(file=path.stem, number=number, **fields)


def counted(checks: Iterable[Check]) -> Counter[str]:
    """Count the checks by source, slips left out and at most ten from any one table."""
    by_table = Counter((check.source, check.table) for check in checks if check.relation != "differs")
    total: Counter[str] = Counter()
    for (source, table), count in by_table.items():
        total[source] += min(count, COUNTED_PER_TABLE) if table else count
    return total
