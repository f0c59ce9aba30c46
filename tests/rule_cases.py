"""Cases for the rules, kept as data in tests/rules/<rule-id>.toml and written like the user's sheets.

    rule = "voltage-marked"
    position = { kind = "wet aluminium" }        # what every case of the file starts from; also unit, board, rail

    [[case]]
    kind = "fires"                                # or "does not fire", "boundary", "missing input"
    name = "a 16 V part asks for 16 V"
    position = { volts = "16 V" }
    expect = ["rated_voltage_v at_least 16 V must"]
    reason = "marked rating 16 V (marked) → …"    # the exact text, of the first demand or vote

What a rule says is written one outcome a line, in order:

- a demand: quantity, relation, value with unit (or values parted by "|"), strength, and "at 120 Hz" where it has
  a frequency; numbers are compared to one in a thousand;
- "vote replace"; "missing: what, what"; "stop: text"; "danger: text" (a stop at any decision); "note: text";
  "hazard: text". A text that ends in "…" is compared as far as it goes.

`impossible` names a kind of case that a rule cannot have, with why. `source` and `place` stand beside a check
that rests on an outside value. `policy` names the policy, the usual one unless given.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from recap.model import (
    Board,
    Body,
    Condition,
    Decision,
    Documented,
    Downstream,
    Kind,
    Marked,
    MarkMeaning,
    Measured,
    Mounting,
    NetBy,
    NotAssessed,
    PlusAt,
    Polarity,
    Position,
    PositionKey,
    Rail,
    Requirement,
    Role,
    Stance,
    SupplyKind,
    Tristate,
    Unit,
)
from recap.policy import read_policy
from recap.rules.case import Case
from recap.rules.cases import neighbour_gap
from recap.rules.circuit import RESERVOIRS
from recap.rules.rule import Note, Outcome, Stop, Vote
from recap.units import quantity

FOLDER = Path(__file__).parent / "rules"
KINDS = ("fires", "does not fire", "boundary", "missing input")
PRESENT_YEAR = 2025
Cells = Mapping[str, Any]


def _in(unit: str) -> Callable[[str], float]:
    return lambda text: quantity(text, unit)


def _percent_pair(text: str) -> tuple[float, float]:
    low, high = text.split("/")
    return float(low) / 100, float(high) / 100


def _yes(text: str) -> bool:
    return {"yes": True, "no": False}[text]


def _conditions(text: str) -> frozenset[Condition]:
    return frozenset(Condition(word.strip()) for word in text.split(","))


_MM, _V, _C, _F, _OHM, _A, _HZ = (_in(unit) for unit in ("mm", "volt", "degC", "farad", "ohm", "ampere", "hertz"))
_MARKED = {
    "capacitance": ("capacitance_f", _F), "volts": ("rated_voltage_v", _V), "ac": ("ac", _yes),
    "tolerance": ("tolerance", _percent_pair), "temperature": ("temperature_c", _C),
    "endurance": ("endurance_h", _in("hour")), "year": ("year", int), "class": ("safety_class", str),
}  # fmt: skip
_DOCUMENTED = {"documented capacitance": ("capacitance_f", _F), "documented volts": ("rated_voltage_v", _V)}
_MEASURED = {
    "in circuit": ("in_circuit", _yes), "capacitance read": ("capacitance_f", _F), "ESR read": ("esr_ohm", _OHM),
    "ESR frequency": ("esr_frequency_hz", _HZ), "leakage read": ("leakage_a", _A),
    "working volts": ("working_voltage_v", _V), "ripple current": ("ripple_current_a", _A),
    "ripple frequency": ("ripple_frequency_hz", _HZ), "body temperature": ("body_temperature_c", _C),
}  # fmt: skip
_BODY = {
    "kind": ("kind", Kind), "mounting": ("mounting", Mounting), "diameter": ("diameter_mm", _MM),
    "height": ("length_mm", _MM), "lead spacing": ("lead_spacing_mm", _MM), "hole": ("hole_diameter_mm", _MM),
    "terminals": ("terminals", int), "room above": ("room_above_mm", _MM), "gap": ("neighbour_gap_mm", _MM),
}  # fmt: skip
_POLARITY = {
    "pad A": ("pad_a", str), "silkscreen": ("silkscreen", PlusAt), "as found": ("as_found", PlusAt),
    "net": ("net", PlusAt), "net by": ("net_by", NetBy),
}  # fmt: skip
_POSITION = {
    "role": ("role", Role), "condition": ("conditions", _conditions), "override": ("override", Decision),
    "override reason": ("override_reason", str), "rail": ("rail", str),
}  # fmt: skip
_RAIL = {
    "name": ("name", str), "volts": ("nominal_v", _V), "tolerance": ("tolerance", lambda text: float(text[:-1]) / 100),
    "ripple limit": ("ripple_limit_v", _V), "supply": ("supply", SupplyKind), "rectifier": ("rectifier", str),
    "secondary": ("secondary_v", _V), "regulator sensitive to ESR": ("esr_sensitive", Tristate),
    "other side": ("other_side", str), "full load": ("full_load_a", _A),
    "source resistance": ("source_resistance_ohm", _OHM),
}  # fmt: skip
_BOARD = {
    "air": ("air_temperature_c", _C), "rise over room": ("rise_over_room_k", float),
    "height limit": ("height_limit_mm", _MM), "mark means": ("mark_meaning", MarkMeaning),
}  # fmt: skip
_UNIT = {
    "year made": ("year_made", int), "mains": ("mains_voltage_v", _V),
    "mains frequency": ("mains_frequency_hz", _HZ), "room": ("room_temperature_c", _C),
    "hours a year": ("use_h_per_year", float), "years wanted": ("years_wanted", float), "stance": ("stance", Stance),
    "downstream": ("downstream", Downstream), "assumed": ("assumed", lambda names: frozenset(names.split(", "))),
}  # fmt: skip


def _read(cells: Cells, columns: Mapping[str, tuple[str, Callable[[Any], Any]]]) -> dict[str, Any]:
    return {field: read(cells[name]) for name, (field, read) in columns.items() if name in cells}


def position(cells: Cells) -> Position:
    """Return the position that a row of the Capacitors sheet describes."""
    columns = (_MARKED, _DOCUMENTED, _MEASURED, _BODY, _POLARITY, _POSITION)
    unknown = set(cells) - {name for each in columns for name in each}
    assert not unknown, f"no such columns: {unknown}"
    return Position(
        key=PositionKey("Unit", "Board", "C1"),
        marked=Marked(**_read(cells, _MARKED)),
        documented=Documented(**_read(cells, _DOCUMENTED)),
        measured=Measured(**_read(cells, _MEASURED)),
        body=Body(**_read(cells, _BODY)),
        polarity=Polarity(**_read(cells, _POLARITY)),
        **_read(cells, _POSITION),
    )


def case(sheets: Mapping[str, Cells], policy: str = "usual") -> Case:
    """Return the case that rows of the four sheets describe."""
    found = position(sheets.get("position", {}))
    rail = Rail(**{"name": "+V", **_read(sheets["rail"], _RAIL)}) if sheets.get("rail") else None
    return Case(
        position=found,
        unit=Unit("Unit", **_read(sheets.get("unit", {}), _UNIT)),
        board=Board("Board", **_read(sheets.get("board", {}), _BOARD)),
        rail=rail,
        policy=read_policy(policy),
        present_year=PRESENT_YEAR,
        neighbour_gap=neighbour_gap(found, []),
        bank=(found,) if found.role in RESERVOIRS else (),
    )


@dataclass(frozen=True)
class RuleCase:
    """One case of a rule's file."""

    rule: str
    kind: str
    name: str
    sheets: Mapping[str, Cells]
    expect: tuple[str, ...]
    reason: str
    policy: str

    def __str__(self) -> str:
        return f"{self.rule}: {self.kind}: {self.name}"


@dataclass(frozen=True)
class RuleFile:
    """The cases of one rule, and the kinds of case that it cannot have."""

    rule: str
    cases: tuple[RuleCase, ...]
    impossible: Mapping[str, str]


def rule_files() -> tuple[RuleFile, ...]:
    """Return every file of tests/rules."""
    return tuple(_file(path) for path in sorted(FOLDER.glob("*.toml")))


def _file(path: Path) -> RuleFile:
    entries = tomllib.loads(path.read_text(encoding="utf-8"))
    assert entries["rule"] == path.stem, path
    cases = tuple(_case(entries, entry) for entry in entries["case"])
    return RuleFile(entries["rule"], cases, entries.get("impossible", {}))


def _case(entries: Mapping[str, Any], entry: Mapping[str, Any]) -> RuleCase:
    sheets = {
        sheet: {**entries.get(sheet, {}), **entry.get(sheet, {})} for sheet in ("position", "unit", "board", "rail")
    }
    for sheet, names in entry.get("without", {}).items():
        sheets[sheet] = {name: cell for name, cell in sheets[sheet].items() if name not in names}
    return RuleCase(
        entries["rule"], entry["kind"], entry["name"], sheets, tuple(entry["expect"]), entry.get("reason", ""),
        entry.get("policy", "usual"),
    )  # fmt: skip


def says(outcome: Outcome) -> str:
    """Return an outcome as a file would write it."""
    if isinstance(outcome, Requirement):
        value = outcome.value
        text = " | ".join(str(v) for v in value) if isinstance(value, tuple) else f"{value:.6g}"
        unit = f" {outcome.unit}" if outcome.unit else ""
        at = f" at {outcome.frequency_hz:g} Hz" if outcome.frequency_hz is not None else ""
        return f"{outcome.quantity} {outcome.relation} {text}{unit} {outcome.strength}{at}"
    if isinstance(outcome, Vote):
        return f"vote {outcome.decision}"
    if isinstance(outcome, NotAssessed):
        return "missing: " + ", ".join(outcome.missing)
    if isinstance(outcome, Stop):
        return ("danger: " if outcome.danger else "stop: ") + outcome.text
    assert isinstance(outcome, Note)
    return ("hazard: " if outcome.hazard else "note: ") + outcome.text


_NUMBER = re.compile(r"(\w+ at_least|\w+ at_most|\w+ exactly) (\S+)(.*)")


def agrees(expected: str, said: str) -> bool:
    """Return whether what a rule said is what a file expects."""
    if expected.endswith("…"):
        return said.startswith(expected[:-1])
    wanted, found = _NUMBER.fullmatch(expected), _NUMBER.fullmatch(said)
    if wanted is None or found is None:
        return expected == said
    alike = (wanted[1], wanted[3]) == (found[1], found[3])
    return alike and math.isclose(float(wanted[2]), float(found[2]), rel_tol=1e-3)


def first_reason(outcomes: Iterable[Outcome]) -> str:
    """Return the text of the first demand's or vote's reason."""
    return next((str(each.reason) for each in outcomes if isinstance(each, Requirement | Vote)), "")
