"""The record of one unit as a page to keep, to print and to give to the owner."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from recap.bench.sign_off import bring_up_of, rail_verdicts
from recap.outputs import sign_off_words as words
from recap.outputs.page import embedded, render
from recap.outputs.record import record_of
from recap.outputs.record_pictures import draw, pictures

if TYPE_CHECKING:
    from recap.model.sign_off import UnitVerdict


def record_page(unit: UnitVerdict) -> str:
    """Return the record as HTML text."""
    return render(
        "record.html.j2",
        unit=unit,
        words=words,
        pictures=[draw(picture) for picture in pictures(unit)],
        rails=rail_verdicts(unit),
        bring_up=bring_up_of(unit),
        record=embedded(json.dumps(record_of(unit), ensure_ascii=False, allow_nan=False)),
    )
