"""The life estimates of one board as a table: what the picture shows, with models, inputs and what would narrow it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from recap.model import LifeEstimate
from recap.outputs.life_picture import LifeRow
from recap.outputs.life_words import clamp_texts, hours_text, inputs_text, model_text, seal_years, years_brief
from recap.units import plain


@dataclass(frozen=True, slots=True)
class LifeLine:
    """Positions whose estimates are the same, the texts about them, and the numbers of the notes that hold."""

    names: tuple[str, ...]
    as_found: tuple[str, ...]
    planned: tuple[str, ...]
    notes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class LifeTable:
    """The table of one board: its lines and, told once, what limited them and what would narrow them."""

    lines: tuple[LifeLine, ...]
    notes: tuple[str, ...]

    headings = ("Position", "Original, when it was new", "Part asked for", "Notes")


def life_table(rows: Sequence[LifeRow]) -> LifeTable:
    """Return the table; positions that share every text share a line."""
    notes: dict[str, int] = {}
    alike: dict[tuple[tuple[str, ...], tuple[str, ...], tuple[int, ...]], list[str]] = {}
    for row in rows:
        estimates = [each for each in (row.as_found, row.planned) if each is not None]
        found = [note for each in estimates for note in _notes(each, row.use_h_per_year)]
        numbers = tuple(sorted({notes.setdefault(note, len(notes) + 1) for note in found}))
        as_found, planned = (_texts(each, row.use_h_per_year) for each in (row.as_found, row.planned))
        alike.setdefault((as_found, planned, numbers), []).append(row.name)
    return LifeTable(tuple(LifeLine(tuple(names), *texts) for texts, names in alike.items()), tuple(notes))


def _texts(estimate: LifeEstimate | None, use_h_per_year: float) -> tuple[str, ...]:
    if estimate is None:
        return ()
    figures = f"{hours_text(estimate)}: {years_brief(estimate, use_h_per_year)}"
    return figures, f"{model_text(estimate.model)}; from {inputs_text(estimate)}"


def _notes(estimate: LifeEstimate, use_h_per_year: float) -> list[str]:
    limit = plain(seal_years())
    seal = f"years at {plain(use_h_per_year)} h of use a year; “seal”: the age of the seal, {limit} years, ends it"
    return [f"{seal} before wear does", *clamp_texts(estimate), *(f"would narrow it: {r}" for r in estimate.narrower)]
