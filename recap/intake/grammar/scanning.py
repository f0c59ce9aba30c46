"""From a cleaned text to the pieces it consists of."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from recap.intake.grammar import (
    capacitance,
    codes,
    conditions,
    dates,
    designators,
    sections,
    sizes,
    voltage,
    words,
)
from recap.intake.grammar.items import Clause, Item
from recap.intake.grammar.numerals import NUMBER, read_number

_LARGEST = 10_000_000  # no value, voltage or size is written with more
_TAGGED = re.compile(rf"(?P<number>{NUMBER})(?P<tag>[A-Za-z]{{0,3}})(?![A-Za-z])")
_WORD = re.compile(r"[^\W\d_][\w.'%-]*|[^\s\w]|\w+")
_SEPARATORS = re.compile(r"(?:\s|[,;:/()\[\]|+@&=_\\-]|\.(?!\d)|(?:and|at|bei|und|or|oder|to)\b)", re.I)


def _number(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    numeral = read_number(match["number"])
    if numeral is None or numeral.value > _LARGEST:
        return Item("word", match[0])
    return Item("number", match[0], value=(numeral, match["number"], match["tag"]))


def _word(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    return Item("word", match[0])


# The order is the grammar: what is more specific stands first.
CLAUSES: tuple[Clause, ...] = (
    *words.FIRST_CLAUSES,
    *codes.BEFORE_UNITS,
    *designators.CLAUSES,
    *dates.CLAUSES,
    *codes.CLAUSES[:3],
    *conditions.CLAUSES,
    *sizes.CLAUSES,
    *designators.TIMES_CLAUSES,
    *sections.CLAUSES,
    *capacitance.CLAUSES,
    *voltage.CLAUSES,
    *conditions.LETTER_CLAUSES,
    *codes.CLAUSES[3:],
    *words.CLAUSES,
    *designators.OTHER_CLAUSES,
    (_TAGGED, _number),
    (_WORD, _word),
)


def scan(text: str) -> list[Item]:
    """Return the pieces of a cleaned text in their order, each with what stood before it."""
    items: list[Item] = []
    position, gap = 0, 0
    while position < len(text):
        item = None
        for pattern, builder in CLAUSES:
            match = pattern.match(text, position)
            if match and match.end() > position and (item := builder(match, items)):
                break
        if item is None or item.kind == "word":
            separator = _SEPARATORS.match(text, position)
            if separator:
                position = separator.end()
                continue
        if item is None:
            position += 1
            continue
        end = position + len(item.text)
        items.append(replace(item, start=position, end=end, before=text[gap:position].strip()))
        position = gap = end
    return items
