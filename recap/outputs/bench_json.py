"""Making safe and bringing up as plain JSON values, field by field as the bench worked them out."""

from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from typing import Any

from recap.model import Plan, PositionKey


def bench_fields(plan: Plan) -> dict[str, Any]:
    """Return what may be charged, for each unit and board, and the first power of each unit."""
    return {"make_safe": _plain(plan.make_safe), "bring_up": _plain(plan.bring_up)}


def _plain(value: Any) -> Any:
    """Return a value of JSON: positions by their names, null where a number is not finite."""
    if isinstance(value, PositionKey):
        return str(value)
    if is_dataclass(value):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return str(value) if isinstance(value, str) else value
