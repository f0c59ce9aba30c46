"""The pieces a text falls into, and the options each leaves open."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

Fields = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Option:
    """One way to read a piece: the fields it gives and why."""

    fields: Fields
    because: str


@dataclass(frozen=True, slots=True)
class Item:
    """One piece of the text.

    `kind` names what it is, `options` its readings with the likeliest first, `doubt` why even the
    likeliest is not certain, `rule` the notation used. `value` carries what later steps need.
    """

    kind: str
    text: str
    options: tuple[Option, ...] = ()
    doubt: str = ""
    rule: str = ""
    value: Any = None
    start: int = 0
    end: int = 0
    before: str = ""  # what stood between the piece before and this one
    confused_with: tuple[str, ...] = field(default=())

    @property
    def fields(self) -> Fields:
        """Return the fields of the likeliest option."""
        return self.options[0].fields if self.options else {}

    @property
    def settled(self) -> bool:
        """Return whether the piece leaves nothing open."""
        return len(self.options) <= 1 and not self.doubt


Builder = Callable[[re.Match[str], Sequence[Item]], Item | None]
Clause = tuple[re.Pattern[str], Builder]
