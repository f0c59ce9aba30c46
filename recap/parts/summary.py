"""What was understood of catalogues, in plain values for people and programs."""

from __future__ import annotations

from typing import Any

import numpy as np

from recap.parts.catalogue import NUMBERS, WORDS, Catalogue, Shelf
from recap.parts.suspicion import doubtful

_SHOWN_WORDS = ("seller", "maker", "kind", "mounting", "currency", "status")
MOST_WORDS = 12


def catalogue_summary(catalogue: Catalogue) -> dict[str, Any]:
    """Return what each file holds, how much of each field is known, and which parts are doubtful."""
    return {
        "count": len(catalogue),
        "catalogues": [_shelf(shelf) for shelf in catalogue.shelves],
        "known": _known(catalogue),
        "words": {name: found for name in _SHOWN_WORDS if (found := _counts(catalogue, name))},
        "doubtful": [
            {
                "id": doubt.id,
                "title": doubt.title,
                "count": int(holds.sum()),
                "first": _name(catalogue, int(np.nonzero(holds)[0][0])),
                "says": doubt.says(catalogue.part(int(np.nonzero(holds)[0][0]))),
            }
            for doubt, holds in doubtful(catalogue)
        ],
    }


def _shelf(shelf: Shelf) -> dict[str, Any]:
    priced = int((np.diff(shelf.break_starts) > 0).sum())
    stock = shelf.numbers.get("stock")
    return {
        "file": shelf.file,
        "sheet": shelf.sheet,
        "parts": shelf.size,
        "drawer": shelf.drawer,
        "priced": priced,
        "in_stock": None if stock is None else int((stock > 0).sum()),
    }


def _known(catalogue: Catalogue) -> dict[str, int]:
    """Return for how many parts each field is known; the two ends of a figure at a frequency count apart."""
    known = {name: int((~np.isnan(catalogue.number(name))).sum()) for name in NUMBERS}
    known |= {name: int((catalogue.word(name).codes >= 0).sum()) for name in WORDS}
    return known


def _counts(catalogue: Catalogue, name: str) -> dict[str, int]:
    words = catalogue.word(name)
    counts = np.bincount(words.codes[words.codes >= 0], minlength=len(words.names))
    order = np.argsort(-counts, kind="stable")[:MOST_WORDS]
    return {words.names[index]: int(counts[index]) for index in order if counts[index]}


def _name(catalogue: Catalogue, row: int) -> str:
    part = catalogue.part(row)
    return f"{part.mpn or part.order_code} ({part.location})"
