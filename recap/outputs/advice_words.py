"""What to measure next, in lines for a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from recap.model import PositionKey, Suggestion
from recap.outputs.words import capital, key_order, place
from recap.outputs.wrapping import WIDTH, wrapped

FIRST = 15
"""As many suggestions as are shown unless all are asked for."""
_NAMES = 3


def positions_text(keys: Iterable[PositionKey], many_units: bool = False, most: int = _NAMES) -> str:
    """Return positions with each board named once.

    >>> positions_text([PositionKey("U", "PSU", f"C{n}") for n in (16, 13, 14, 20, 21, 22)])
    'PSU: C13, C14, C16 and 3 more'
    """
    boards: dict[str, list[str]] = {}
    for key in sorted(keys, key=key_order):
        boards.setdefault(f"{key.unit}, {key.board}" if many_units else key.board, []).append(place(key))
    return "; ".join(f"{board}: {_some(names, most)}" for board, names in boards.items())


def _some(names: Sequence[str], most: int) -> str:
    more = len(names) - most
    # One more name is shorter than the words that leave it out.
    return ", ".join(names) if more <= 1 else f"{', '.join(names[:most])} and {more} more"


def several_units(suggestions: Sequence[Suggestion]) -> bool:
    """Whether a board's name alone may not say which machine is meant."""
    return len({key.unit for item in suggestions for key in item.positions}) > 1


def advice(suggestions: Sequence[Suggestion], everything: bool = False, width: int = WIDTH) -> list[str]:
    """Return the suggestions, the most telling first, then how to take each reading."""
    if not suggestions:
        return ["No missing reading would change the plan."]
    shown = suggestions if everything else suggestions[:FIRST]
    units = several_units(suggestions)
    lines = ["Measure next, what may change the plan most first:", ""]
    for number, item in enumerate(shown, 1):
        head = f"{capital(item.reading)}, {positions_text(item.positions, units)}"
        lines += wrapped(head, width, f"{number:>3}. ", "     ")
        for outcome, change in item.outcomes:
            lines += wrapped(f"{outcome} → {change}", width, "       ", "           ")
    if len(shown) < len(suggestions):
        lines += ["", f"{len(suggestions) - len(shown)} more with --all."]
    for reading in dict.fromkeys(item.reading for item in shown):
        first = next(item for item in shown if item.reading == reading)
        lines += ["", f"How to take: {reading}", *wrapped(first.how, width, "  ", "  ")]
        if first.caution:
            lines += wrapped(f"Caution: {first.caution}.", width, "  ", "    ")
    return lines


def advice_in_brief(suggestions: Sequence[Suggestion], most: int = 5, width: int = WIDTH) -> list[str]:
    """Return the first suggestions in a line or two each, with the outcome that would turn the plan."""
    units = several_units(suggestions)
    lines = []
    for number, item in enumerate(suggestions[:most], 1):
        head = f"{capital(item.reading)}, {positions_text(item.positions, units)}"
        lines += wrapped(f"{head} ({_effect(item)})", width, f"{number:>3}. ", "     ")
    return lines


def _effect(item: Suggestion) -> str:
    """Return the outcome that turns the plan, with what it then says."""
    telling = [pair for pair in item.outcomes if "instead of" in pair[1] or "off the stop list" in pair[1]]
    other = [pair for pair in item.outcomes if pair[1] != "nothing changes"]
    outcome, change = (telling or other or item.outcomes)[0]
    return f"{outcome} → {change}"
