"""The closed lists by name, as the workbook's drop-downs and the reader share them."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from recap.model.vocabulary import (
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

_ENUMS = (
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

YES_NO: Mapping[str, bool] = MappingProxyType({"yes": True, "no": False})
AC_DC: Mapping[str, bool] = MappingProxyType({"DC": False, "AC": True})

CLOSED_LISTS: Mapping[str, Mapping[str, object]] = MappingProxyType(
    {enum.__name__: MappingProxyType({member.value: member for member in enum}) for enum in _ENUMS}
    | {"YesNo": YES_NO, "AcDc": AC_DC}
)
"""List name to its words, in the order of the drop-down, each with the value it stands for."""
