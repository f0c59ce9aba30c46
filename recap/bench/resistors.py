"""Resistors as they are sold: preferred values and power ratings."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from recap.bench.constants import constant
from recap.formulas.dummy_load import required_rating_w
from recap.ruledata import number, table


@dataclass(frozen=True, slots=True)
class ResistorBody:
    """A power rating as sold, the usual build, and the voltage it stands where that is the limit."""

    rating_w: float
    kind: str
    largest_voltage_v: float | None


@cache
def resistor_bodies() -> tuple[ResistorBody, ...]:
    """Return the bodies sold, by rising rating."""
    rows = (
        ResistorBody(float(row["rating_w"]), row["kind"], number(row, "largest_voltage_v"))
        for row in table("resistor_ratings")
    )
    return tuple(sorted(rows, key=lambda body: body.rating_w))


def smallest_body(required_w: float, voltage_v: float = 0.0, smallest_w: float = 0.0) -> ResistorBody | None:
    """Return the smallest body that carries the power and stands the voltage, or None when none is sold."""
    least = max(required_w, smallest_w) * (1 - 1e-9)
    return next(
        (
            body
            for body in resistor_bodies()
            if body.rating_w >= least and (body.largest_voltage_v is None or body.largest_voltage_v >= voltage_v)
        ),
        None,
    )


def body_with_margin(power_w: float, voltage_v: float = 0.0) -> ResistorBody | None:
    """Return the smallest body that runs at half its rating or less."""
    return smallest_body(float(required_rating_w(power_w, constant("resistor_margin"))), voltage_v)
