"""The parts somebody proposes: described in words, or named by a number that catalogues know."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from recap.model import Part
from recap.parts.text import read_part
from recap.problems import Problem, RecapError


class NoSuchPartError(RecapError):
    """No catalogue knows a number."""


def proposed_parts(
    texts: Sequence[str | Part],
    numbers: Sequence[str],
    catalogues: Sequence[str | Path],
    headings: Mapping[str, str] | None = None,
    *,
    cache: bool = True,
) -> tuple[list[Part], list[Problem]]:
    """Return the parts with what was assumed or wrong about them; raises NoSuchPartError and NotAPartError."""
    parts: list[Part] = []
    problems: list[Problem] = []
    for text in texts:
        if isinstance(text, Part):
            parts.append(text)
            continue
        part, assumed = read_part(text)
        parts.append(part)
        problems += assumed
    if not numbers:
        return parts, problems
    from recap.parts.reading import read_catalogues

    catalogue, found = read_catalogues(catalogues, headings, cache=cache)
    for number in numbers:
        rows = catalogue.find(number)
        if not len(rows):
            raise NoSuchPartError(
                f'no part "{number}" in {", ".join(map(str, catalogues))}; recap parts shows what they hold'
            )
        parts += [catalogue.part(int(row)) for row in rows]
    return parts, problems + [problem for problem in found if problem.severity == "error"]
