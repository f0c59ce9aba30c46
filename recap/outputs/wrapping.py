"""Lines for a terminal."""

from __future__ import annotations

import re
import textwrap

WIDTH = 100
"""Of a line on the terminal, in characters."""

_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=(?:%|°C|mm|[kMmµnp]?(?:F|V|A|W|Ω|Hz|h|J|s)|years?)(?:\W|$))")
_KEPT = "\N{NO-BREAK SPACE}"


def wrapped(text: str, width: int = WIDTH, first: str = "", rest: str = "") -> list[str]:
    """Return a text as lines that begin with `first`, then with `rest`; a number keeps its unit beside it.

    >>> wrapped("never more than 25 V", 19, "- ", "  ")
    ['- never more than', '  25 V']
    """
    kept = _NUMBER_AND_UNIT.sub(_KEPT, text)
    lines = textwrap.wrap(kept, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False)
    return [line.replace(_KEPT, " ") for line in lines]
