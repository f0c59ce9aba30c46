"""The things the job is about: what was found, what is demanded, what is to be done.

A module is imported when one of its names is first asked for, so that reading a marking does not load the plan.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from recap.model.inspection import (
        Board,
        Body,
        CellReading,
        Documented,
        Inspection,
        LeftOut,
        Marked,
        Measured,
        Polarity,
        Position,
        PositionKey,
        Rail,
        Unit,
    )
    from recap.model.part import Part, PriceBreak
    from recap.model.plan import (
        BoardWork,
        Conditions,
        Judgement,
        LifeEstimate,
        OrderLine,
        Orientation,
        Plan,
        RandomFailures,
        Specification,
        Suggestion,
        Sundry,
    )
    from recap.model.requirement import (
        Contradiction,
        Input,
        NotAssessed,
        Reason,
        Relation,
        Requirement,
        Strength,
        mark_governing,
    )
    from recap.model.vocabulary import (
        PLUS_STRIPE_KINDS,
        POLAR_KINDS,
        RECTIFIED_SUPPLIES,
        SWITCHING_SUPPLIES,
        WET_KINDS,
        Basis,
        Condition,
        Decision,
        Downstream,
        Face,
        Kind,
        Legible,
        MarkMeaning,
        Mounting,
        NetBy,
        PlusAt,
        Role,
        Stance,
        SupplyKind,
        Tristate,
    )

__all__ = [
    "PLUS_STRIPE_KINDS", "POLAR_KINDS", "RECTIFIED_SUPPLIES", "SWITCHING_SUPPLIES", "WET_KINDS", "Basis",
    "Board", "BoardWork", "Body", "CellReading", "Condition", "Conditions", "Contradiction", "Decision",
    "Documented", "Downstream", "Face", "Input", "Inspection", "Judgement", "Kind", "LeftOut", "Legible",
    "LifeEstimate", "MarkMeaning", "Marked", "Measured", "Mounting", "NetBy", "NotAssessed", "OrderLine",
    "Orientation", "Part", "Plan", "PlusAt", "Polarity", "Position", "PositionKey", "PriceBreak", "Rail",
    "RandomFailures", "Reason", "Relation", "Requirement", "Role", "Specification", "Stance", "Strength", "Suggestion",
    "Sundry", "SupplyKind", "Tristate", "Unit", "mark_governing",
]  # fmt: skip

_MODULES = ("vocabulary", "inspection", "part", "requirement", "plan")  # the light ones first


def __getattr__(name: str) -> Any:
    """Import the module that holds a name, and keep the name here."""
    if name in __all__:
        for module in _MODULES:
            found = vars(import_module(f"{__name__}.{module}"))
            if name in found:
                globals()[name] = found[name]
                return found[name]
    raise AttributeError(f"{__name__} has no name {name!r}")
