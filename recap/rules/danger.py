"""What may hurt at a position whatever is decided there: the live side of the mains, and charge that stays."""

from __future__ import annotations

import re
from collections.abc import Iterable

from recap.model import Rail, Role
from recap.ruledata import number, table
from recap.rules.case import Case
from recap.rules.given import Given
from recap.rules.rectifiers import assumption
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import volts

_LIVE = re.compile(r"\b(live|primary|mains|neutral|hot)\b", re.IGNORECASE)


def returns_to_live(rail: Rail | None) -> bool:
    """Return whether a rail's other side is named as one of the mains side."""
    return rail is not None and bool(_LIVE.search(rail.other_side))


@rule("charged-or-live", "Live sides and charged parts are named", "iec-60204-1", "hazard")
def charged_or_live(case: Case, say: Say) -> Iterable[Outcome]:
    """Parts of the mains side, and those that may hold more than the published voltage and charge, at any decision."""
    if case.across_mains:
        return
    rail = case.rail
    if case.position.role is Role.PRIMARY_RESERVOIR or returns_to_live(rail):
        where = f"rail {rail.name} returns to {rail.other_side}" if rail is not None else str(case.position.role)
        yield Note(
            f"Live side of the mains ({where}): unplugged, discharged and measured before it is touched; no earthed "
            "probe on it while it is powered.",
            hazard=True,
        )
    highest = case.peak_voltage or case.working_voltage
    if highest is None:
        if case.is_electrolytic:
            yield say.missing("rail or marked volts, for the charge it may hold")
        return
    if not case.rated_ac and _holds_charge(case, highest.value):
        yield Note(_charged(highest), hazard=True)


def _charged(highest: Given) -> str:
    limit = volts(assumption("touch_voltage_dc"))
    return (
        f"May be charged, long after switch-off too, to {volts(highest.value)}: {highest.name}. Discharge it through a "
        f"resistor, measure, and go on only well below {limit} DC; it may recover part of its charge."
    )


def _holds_charge(case: Case, high_v: float) -> bool:
    """Whether voltage and charge exceed the limits down to which the standard asks for a discharge."""
    if high_v <= assumption("touch_voltage_dc"):
        return False
    return case.fitted_capacitance is None or case.fitted_capacitance.value * high_v > _exempt_charge_c()


def _exempt_charge_c() -> float:
    row = next(row for row in table("discharge_thresholds") if row["id"] == "iec-60204")
    return number(row, "exempt_charge_c") or 0.0
