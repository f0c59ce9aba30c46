"""The plan as one JSON document, the fields of which others may rely on."""

from __future__ import annotations

import hashlib
import json
import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import asdict, fields
from pathlib import PurePath
from typing import Any

from recap.model import Decision, Judgement, LifeEstimate, OrderLine, Plan, Requirement, Specification, Suggestion, Unit
from recap.outputs.bench_json import bench_fields
from recap.outputs.life_words import years
from recap.outputs.naming import document_names
from recap.outputs.purchase_json import bought_fields, optimality, position_parts, purchase_fields
from recap.outputs.words import key_order
from recap.problems import Problem


def plan_document(plan: Plan, problems: Sequence[Problem] = ()) -> dict[str, Any]:
    """Return the plan as plain JSON values; the same plan gives the same document."""
    judgements = sorted(plan.judgements, key=lambda judgement: key_order(judgement.key))
    uses = {unit.name: unit.use_h_per_year for unit in plan.inspection.units}
    parts = position_parts(plan)
    result: dict[str, Any] = {
        "files": [PurePath(name).name for name in plan.inspection.files],
        "policy": {"name": plan.policy, "choices": dict(plan.policy_choices)},
        "units": [_unit(unit) for unit in plan.inspection.units],
        "positions": [
            {**_position(judgement, uses[judgement.key.unit]), "part": parts.get(judgement.key)}
            for judgement in judgements
        ],
        "random_failures": [asdict(found) for found in plan.random_failures],
        "lines": [_line(line) for line in plan.lines],
        "lines_if_failed": [_line(line) for line in plan.lines_if_failed],
        "sundries": [{"item": s.item, "amount": s.amount, "why": s.why} for s in plan.sundries],
        "left_out": [
            {"location": str(row.location), "text": row.text, "reason": row.reason} for row in plan.inspection.left_out
        ],
        "do_not_fit": [str(position.key) for work in plan.work for position in work.do_not_fit],
        "totals": _totals(plan),
        "optimality": optimality(plan),
    }
    if plan.purchase is not None:
        result["purchase"] = purchase_fields(plan.purchase)
    result = _finite(result)
    return {
        "result": {
            "digest": _digest(result),
            **result,
            **bench_fields(plan),
            "suggestions": [suggestion_fields(item) for item in plan.suggestions],
            **({} if plan.changes is None else {"changes": [asdict(change) for change in plan.changes]}),
            "documents": document_names(plan).everything,
        },
        "problems": [problem.as_json() for problem in problems],
    }


def plan_digest(plan: Plan) -> str:
    """Return the fingerprint by which ticks and readings are tied to a plan."""
    digest: str = plan_document(plan)["result"]["digest"]
    return digest


def as_text(document: dict[str, Any]) -> str:
    """Return a document as the text of a file."""
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"


def _digest(result: dict[str, Any]) -> str:
    text = json.dumps(result, ensure_ascii=True, sort_keys=True, allow_nan=False)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:16]


def _unit(unit: Unit) -> dict[str, Any]:
    return {
        "name": unit.name,
        "serial": unit.serial,
        "year_made": unit.year_made,
        "mains_voltage_v": unit.mains_voltage_v,
        "mains_frequency_hz": unit.mains_frequency_hz,
        "chassis_isolated": str(unit.chassis_isolated),
        "room_temperature_c": unit.room_temperature_c,
        "use_h_per_year": unit.use_h_per_year,
        "years_wanted": unit.years_wanted,
        "stance": str(unit.stance),
        "downstream": str(unit.downstream),
        "assumed": sorted(unit.assumed),
        "boards": [board.name for board in unit.boards],
        "rails": [{"name": rail.name, "nominal_v": rail.nominal_v} for rail in unit.rails],
    }


def _position(judgement: Judgement, use_h_per_year: float) -> dict[str, Any]:
    orientation = judgement.orientation
    return {
        "key": str(judgement.key),
        "decision": str(judgement.decision),
        "meant": str(judgement.meant),
        "reasons": [str(reason) for reason in judgement.reasons],
        "rank": judgement.rank,
        "requirements": [_requirement(requirement) for requirement in judgement.requirements],
        "not_assessed": [{"rule": item.rule, "missing": list(item.missing)} for item in judgement.not_assessed],
        "contradictions": [
            {"quantity": item.quantity, "rules": list(item.rules), "text": item.text}
            for item in judgement.contradictions
        ],
        "orientation": orientation.text,
        "orientation_conflicts": list(orientation.conflicts),
        "orientation_missing": list(orientation.missing),
        "stops": list(judgement.stops),
        "hazards": list(judgement.hazards),
        "fitting_notes": list(judgement.fitting_notes),
        "estimated_life_h": {
            "as_found": _life(judgement.life_as_found, use_h_per_year),
            "planned": _life(judgement.life_planned, use_h_per_year),
        },
        "specification": _specification(judgement.specification),
    }


def _requirement(requirement: Requirement) -> dict[str, Any]:
    value = requirement.value
    return {
        "quantity": requirement.quantity,
        "relation": str(requirement.relation),
        "value": list(value) if isinstance(value, tuple) else value,
        "unit": requirement.unit,
        "frequency_hz": requirement.frequency_hz,
        "strength": str(requirement.strength),
        "governing": requirement.governing,
        "rule": requirement.rule,
        "source": requirement.source,
        "basis": str(requirement.basis),
        "reason": str(requirement.reason),
    }


def _life(estimate: LifeEstimate | None, use_h_per_year: float) -> dict[str, Any] | None:
    if estimate is None:
        return None
    found = years(estimate, use_h_per_year)
    return {
        "low": estimate.low_h,
        "nominal": estimate.nominal_h,
        "high": estimate.high_h,
        "model": estimate.model,
        "basis": str(estimate.basis),
        "models": [{"id": model, "life_h": life_h, "source": source} for model, life_h, source in estimate.models],
        "inputs": [{"name": i.name, "value": i.value, "basis": str(i.basis)} for i in estimate.inputs],
        "clamps": list(estimate.clamps),
        "narrower": list(estimate.narrower),
        "years": {
            "low": found.low,
            "nominal": found.nominal,
            "high": found.high,
            "use_h_per_year": found.use_h_per_year,
            "limited_by_seal": found.limited,
        },
    }


def _specification(spec: Specification | None) -> dict[str, Any] | None:
    if spec is None:
        return None
    values = {item.name: getattr(spec, item.name) for item in fields(spec)}
    return {name: list(value) if isinstance(value, tuple) else value for name, value in values.items()}


def _line(line: OrderLine) -> dict[str, Any]:
    return {
        "id": line.id,
        "specification": _specification(line.specification),
        "quantity": line.quantity,
        "needed": line.needed,
        "spares": line.spares,
        "positions": [str(key) for key in line.positions],
        "merge_notes": list(line.merge_notes),
        "may_differ": list(line.may_differ),
        **bought_fields(line.bought),
    }


def suggestion_fields(item: Suggestion) -> dict[str, Any]:
    """Return a reading worth taking as plain JSON values."""
    return {
        "reading": item.reading,
        "positions": [str(key) for key in item.positions],
        "how": item.how,
        "caution": item.caution,
        "outcomes": [{"if": outcome, "then": then} for outcome, then in item.outcomes],
        "worth": item.worth if math.isfinite(item.worth) else None,
    }


def _totals(plan: Plan) -> dict[str, Any]:
    decisions = Counter(judgement.decision for judgement in plan.judgements)
    return {
        "positions": len(plan.judgements),
        "decisions": {str(decision): decisions[decision] for decision in Decision},
        "stop_items": sum(bool(judgement.stops) for judgement in plan.judgements),
        "do_not_fit": sum(len(work.do_not_fit) for work in plan.work),
        "left_out": len(plan.inspection.left_out),
        "lines": len(plan.lines),
        "pieces_needed": sum(line.needed for line in plan.lines),
        "pieces_spare": sum(line.spares for line in plan.lines),
        "pieces": sum(line.quantity for line in plan.lines),
        "cost": None if plan.purchase is None else plan.purchase.paid,
    }


def _finite(value: Any) -> Any:
    """Return the value with null where a number is not finite: JSON knows no infinity."""
    if isinstance(value, dict):
        return {name: _finite(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_finite(item) for item in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
