"""The pieces a text falls into, and the options each leaves open."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
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


class LatePattern:
    """A pattern that is compiled when it is first tried, as most texts are read before most patterns get their turn."""

    def __init__(self, text: str, flags: int = 0) -> None:
        self.text = text
        self.flags = flags

    @cached_property
    def compiled(self) -> re.Pattern[str]:
        """Return the pattern itself."""
        return re.compile(self.text, self.flags)

    def match(self, text: str, position: int = 0) -> re.Match[str] | None:
        """Return the match that begins at the position."""
        return self.compiled.match(text, position)


Builder = Callable[[re.Match[str], Sequence[Item]], Item | None]
Clause = tuple[re.Pattern[str] | LatePattern, Builder]
