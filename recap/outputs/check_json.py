"""A check as plain JSON values, as data/schemas/check.schema.json describes them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from recap.model import LifeEstimate, Part
from recap.model.check import PartCheck, Point, Verdict
from recap.problems import Problem


def check_document(checks: Sequence[PartCheck], behind: Sequence[str], problems: Sequence[Problem]) -> dict[str, Any]:
    """Return the document of one part or several at one position; the best stands at the top, all under `parts`."""
    result = check_fields(checks[0])
    if len(checks) > 1:
        result["parts"] = [
            {**check_fields(check), "behind_because": why} for check, why in zip(checks, [None, *behind], strict=True)
        ]
    return {"result": result, "problems": [problem.as_json() for problem in problems]}


def where_document(parts: Sequence[Sequence[PartCheck]], problems: Sequence[Problem]) -> dict[str, Any]:
    """Return the document of parts held against every position; the verdict is that of the best place for any."""
    every = [check.verdict for checks in parts for check in checks]
    best = next((str(verdict) for verdict in Verdict if verdict in every), None)
    found = [
        {"part": part_fields(checks[0].part), "positions": [check_fields(check) for check in checks]}
        for checks in parts
        if checks
    ]
    return {"result": {"verdict": best, "parts": found}, "problems": [problem.as_json() for problem in problems]}


def check_fields(check: PartCheck) -> dict[str, Any]:
    """Return one check."""
    return {
        "position": str(check.key),
        "part": part_fields(check.part),
        "arrangement": check.arrangement,
        "verdict": str(check.verdict),
        "points": [_point(point) for point in check.points],
        "estimated_life_h": {**_life(check.life), "original": _life(check.original_life)},
        "would_fit_if": list(check.would_fit_if),
        "suspicions": list(check.suspicions),
    }


def _point(point: Point) -> dict[str, Any]:
    return {
        "quantity": point.quantity,
        "provided": point.provided,
        "required": list(point.required) if isinstance(point.required, tuple) else point.required,
        "relation": str(point.relation),
        "margin": point.margin,
        "margin_pct": point.margin_pct,
        "verdict": str(point.verdict),
        "rule": point.rule,
        "reason": point.reason,
        "unit": point.unit,
        "strength": str(point.strength),
        "frequency_hz": point.frequency_hz,
        "source": point.source,
    }


def _life(life: LifeEstimate | None) -> dict[str, float | None]:
    if life is None:
        return {"low": None, "nominal": None, "high": None}
    return {"low": life.low_h, "nominal": life.nominal_h, "high": life.high_h}


def part_fields(part: Part) -> dict[str, Any]:
    """Return a part as data/schemas/part.schema.json describes it; what is not known is left away."""
    fields: dict[str, Any] = {}
    for name in part.__slots__:
        value = getattr(part, name)
        if value is None or value == "" or value == () or name == "location":
            continue
        fields[name] = value
    if part.tolerance is not None:
        fields["tolerance"] = list(part.tolerance)
    if part.price_breaks:
        fields["price_breaks"] = [
            {"quantity": item.quantity, "unit_price": item.unit_price} for item in part.price_breaks
        ]
    fields["from_drawer"] = part.from_drawer
    if str(part.location):
        fields["location"] = str(part.location)
    return fields
