"""The part that was chosen for a position, in the words of a work order."""

from __future__ import annotations

from recap.model import Judgement, OrderLine
from recap.model.purchase import Placed
from recap.outputs.words import chosen_part, new_part


def placed_at(judgement: Judgement, line: OrderLine | None) -> Placed | None:
    """Return the chosen part of a position with its check; None where none was chosen."""
    placed = line.bought.placed if line is not None and line.bought is not None else ()
    return next((each for each in placed if judgement.key in each.positions), None)


def goes_in(judgement: Judgement, line: OrderLine | None) -> str:
    """Return the part that was chosen, else what to ask for; empty where neither is known."""
    placed = placed_at(judgement, line)
    if placed is not None:
        pieces = 1 if placed.check.arrangement == "single" else 2
        arrangement = f", {placed.check.arrangement}" if pieces > 1 else ""
        return chosen_part(placed.check.part, pieces) + arrangement
    return new_part(judgement.specification) if judgement.specification else ""


def part_notes(judgement: Judgement, line: OrderLine | None) -> tuple[str, ...]:
    """Return the points on which the chosen part fits only with a note."""
    placed = placed_at(judgement, line)
    return tuple(f"The part fits with a note: {note}." for note in placed.notes) if placed is not None else ()
