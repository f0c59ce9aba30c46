"""How long each part of a board lasts, as a picture: the original as it was new beside the part asked for.

Drawn like the locators: a frame with a scale of hours along the lower edge and of years along the upper one, a
line for each position. Form tells the two apart, not shade: the original is a hollow mark on a thin line, the
part asked for a solid mark on a thick one. Hours go by powers of ten.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from markupsafe import Markup, escape

from recap.model import BoardWork, Judgement, LifeEstimate, Plan, Unit
from recap.outputs.drawings import FAINT, FAINT_INK, INK
from recap.outputs.life_words import NOT_ESTIMATED, hours_text, seal_years
from recap.outputs.words import key_order, place
from recap.units import plain

ROWS_A_SHEET = 44
"""As many positions as stay legible on one page of paper."""

_WIDTH, _LEFT, _RIGHT = 190.0, 26.0, 34.0
_ABOVE, _BELOW, _ROW = 20.0, 13.0, 5.2
_YEARS = (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
_LEAST_APART = 7.0
"""Between two marks of the years' scale, so that their figures do not touch."""


@dataclass(frozen=True, slots=True)
class LifeRow:
    """One position of the picture."""

    name: str
    decision: str
    as_found: LifeEstimate | None
    planned: LifeEstimate | None
    use_h_per_year: float


@dataclass(frozen=True, slots=True)
class LifePicture:
    """The sheets of one board's picture, the same as rows, and the positions that have no estimate."""

    sheets: tuple[Markup, ...]
    rows: tuple[LifeRow, ...]
    without: tuple[str, ...]


def life_picture(plan: Plan, work: BoardWork) -> LifePicture:
    """Return the picture of one board, on as many sheets as keep it legible; none where nothing was estimated."""
    unit = plan.inspection.unit(work.unit)
    rows, without = _rows(unit, work)
    count = max(1, -(-len(rows) // ROWS_A_SHEET))
    size = -(-len(rows) // count)
    axis = _Axis.of(rows, unit)
    sheets = tuple(
        Markup(_drawn(rows[first : first + size], axis, f"{work.board}, {unit.name}", f"life-{first}"))
        for first in range(0, len(rows), size or 1)
    )
    return LifePicture(sheets, tuple(rows), tuple(without))


def life_svg(plan: Plan, work: BoardWork) -> str:
    """Return the picture of one board as the text of a file of its own."""
    unit = plan.inspection.unit(work.unit)
    rows, _ = _rows(unit, work)
    drawn = _drawn(rows, _Axis.of(rows, unit), f"{work.board}, {unit.name}", "life")
    # A page knows what an svg element is; a file must say so.
    return drawn.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ', 1) + "\n"


def _all(work: BoardWork) -> Iterable[Judgement]:
    return (*work.stops, *work.steps, *work.left_alone)


def _rows(unit: Unit, work: BoardWork) -> tuple[list[LifeRow], list[str]]:
    rows, without = [], []
    for judgement in sorted(_all(work), key=lambda item: key_order(item.key)):
        name, planned = place(judgement.key), judgement.life_planned
        if judgement.life_as_found is None and planned is None:
            without.append(name)
        else:
            decision = str(judgement.decision)
            rows.append(LifeRow(name, decision, judgement.life_as_found, planned, unit.use_h_per_year))
    return rows, without


@dataclass(frozen=True, slots=True)
class _Axis:
    """Hours by powers of ten, with the years that they come to at the unit's hours of use."""

    low_h: float
    high_h: float
    use_h_per_year: float
    wanted_h: float

    @classmethod
    def of(cls, rows: Sequence[LifeRow], unit: Unit) -> _Axis:
        wanted_h = unit.years_wanted * unit.use_h_per_year
        shown = [each for row in rows for each in (row.as_found, row.planned) if each is not None]
        ends = [wanted_h, *(end for each in shown for end in (each.low_h, each.nominal_h, each.high_h))]
        ends = [end for end in ends if 0 < end < math.inf] or [1e3, 1e5]
        low_h = max(step for step in _steps(min(ends)) if step <= min(ends))
        high_h = min(step for step in _steps(max(ends)) if step >= max(ends))
        return cls(low_h, max(high_h, 10 * low_h), unit.use_h_per_year, wanted_h)

    def x(self, hours: float) -> float:
        """Return where so many hours lie; what is off the scale lies on its edge."""
        share = math.log(min(max(hours, self.low_h), self.high_h) / self.low_h) / math.log(self.high_h / self.low_h)
        return _LEFT + (_WIDTH - _LEFT - _RIGHT) * share

    def shows(self, hours: float) -> bool:
        """Whether so many hours lie on the scale."""
        return self.low_h <= hours <= self.high_h

    def marks(self) -> list[tuple[float, int]]:
        """Return the hours to mark on the scale, each with its first figure."""
        powers = range(math.floor(math.log10(self.low_h)), math.ceil(math.log10(self.high_h)) + 1)
        marks = [(first * 10.0**power, first) for power in powers for first in range(1, 10)]
        return [(hours, first) for hours, first in marks if self.shows(hours)]


def _steps(hours: float) -> list[float]:
    """Return round numbers of hours about as large."""
    power = math.floor(math.log10(hours))
    return [first * 10.0**each for each in (power - 1, power, power + 1) for first in (1, 2, 5)]


def _drawn(rows: Sequence[LifeRow], axis: _Axis, where: str, name: str) -> str:
    height = _ABOVE + _ROW * len(rows) + _BELOW
    title = f"Estimated life by position: {where}"
    drawn = "".join(_row(row, _ABOVE + _ROW * (number + 0.5), axis) for number, row in enumerate(rows))
    return (
        f'<svg class="life" role="img" aria-label="{escape(title)}" aria-describedby="{name}-desc"'
        f' viewBox="0 0 {_WIDTH:g} {height:g}" font-family="Verdana, DejaVu Sans, sans-serif" font-size="3">'
        f'<title>{escape(title)}</title><desc id="{name}-desc">{escape(_told(rows, axis))}</desc>'
        f'<rect width="{_WIDTH:g}" height="{height:g}" fill="#fff"/>'
        f"{_legend()}{_scales(axis, height - _BELOW)}{drawn}</svg>"
    )


def _told(rows: Sequence[LifeRow], axis: _Axis) -> str:
    """Return the picture in words."""
    parts = [
        f"Hours of use on a scale of powers of ten, from {plain(axis.low_h)} to {plain(axis.high_h)} h; "
        f"wanted are {plain(axis.wanted_h)} h."
    ]
    for row in rows:
        found, planned = (hours_text(each) if each else NOT_ESTIMATED for each in (row.as_found, row.planned))
        parts.append(f"{row.name} ({row.decision}): original {found}; part asked for {planned}.")
    return " ".join(parts)


def _legend() -> str:
    y = 3.6
    return (
        _range(2.0, 8.0, 14.0, y, solid=False)
        + _text(16.0, y + 1.1, "original, when it was new")
        + _range(64.0, 70.0, 76.0, y, solid=True)
        + _text(78.0, y + 1.1, "part asked for")
        + _text(_WIDTH - 1, y + 1.1, "mark: nominal; line: low to high", anchor="end", ink=FAINT_INK)
    )


def _scales(axis: _Axis, foot: float) -> str:
    left, right = _LEFT, _WIDTH - _RIGHT
    lines = [f'<rect x="{left:g}" y="{_ABOVE:g}" width="{right - left:g}" height="{foot - _ABOVE:g}" fill="none"'
             f' stroke="{INK}" stroke-width=".3"/>']  # fmt: skip
    for hours, first in axis.marks():
        x = axis.x(hours)
        if first in (1, 2, 5):
            ink, wide = (FAINT, 0.25) if first == 1 else ("#ccc", 0.15)
            lines.append(f'<path d="M{x:.2f} {_ABOVE:g}V{foot + 2:g}" stroke="{ink}" stroke-width="{wide:g}"/>')
            lines.append(_text(x, foot + 5.2, plain(hours), anchor="middle", size=2.7))
        else:
            lines.append(f'<path d="M{x:.2f} {foot:g}v1" stroke="{INK}" stroke-width=".2"/>')
    lines.append(_text(right, foot + 9.6, "hours of use", anchor="end", ink=FAINT_INK))
    return "".join(lines) + _years_scale(axis) + _wanted(axis, foot)


def _years_scale(axis: _Axis) -> str:
    """Return the marks of whole years up to the age of a seal, which is where years in use end."""
    use, limit = axis.use_h_per_year, seal_years()
    if use <= 0:
        return ""
    marks = []
    taken = [axis.x(limit * use)] if axis.shows(limit * use) else []
    for years in _YEARS:
        x = axis.x(years * use)
        if years < limit and axis.shows(years * use) and all(abs(x - other) >= _LEAST_APART for other in taken):
            taken.append(x)
            marks.append(_year_mark(x, plain(years)))
    if axis.shows(limit * use):
        marks.append(_year_mark(axis.x(limit * use), f"{plain(limit)}, age of a seal", "start"))
    title = _text(_LEFT, _ABOVE - 7.4, f"years at {plain(use)} h of use a year", ink=FAINT_INK)
    return title + "".join(marks)


def _year_mark(x: float, text: str, anchor: str = "middle") -> str:
    shift = -1.0 if anchor == "start" else 0.0
    mark = f'<path d="M{x:.2f} {_ABOVE - 1.8:g}v1.8" stroke="{INK}" stroke-width=".3"/>'
    return mark + _text(x + shift, _ABOVE - 2.6, text, anchor=anchor)


def _wanted(axis: _Axis, foot: float) -> str:
    if axis.wanted_h <= 0 or not axis.shows(axis.wanted_h):
        return ""
    x = axis.x(axis.wanted_h)
    dash = f'<path d="M{x:.2f} {_ABOVE:g}V{foot + 2:g}" stroke="{INK}" stroke-width=".4" stroke-dasharray="1.6 1"/>'
    return dash + _text(max(x, _LEFT), foot + 9.6, f"wanted: {plain(axis.wanted_h)} h", anchor="middle", bold=True)


def _row(row: LifeRow, y: float, axis: _Axis) -> str:
    parts = [
        f'<path d="M{_LEFT:g} {y + _ROW / 2:.2f}H{_WIDTH - _RIGHT:g}" stroke="#ddd" stroke-width=".15"/>',
        _text(_LEFT - 2, y + 1.05, f"{row.name}", anchor="end", bold=True),
    ]
    both = row.as_found is not None and row.planned is not None
    for estimate, solid in ((row.as_found, False), (row.planned, True)):
        if estimate is not None:
            aside = (1.15 if solid else -1.15) if both else 0.0
            ends = (axis.x(estimate.low_h), axis.x(estimate.nominal_h), axis.x(estimate.high_h))
            parts.append(_range(*ends, y + aside, solid))
    figures = [plain(each.nominal_h) for each in (row.as_found, row.planned) if each is not None]
    parts.append(_text(_WIDTH - _RIGHT + 1.5, y + 1.05, f"{' → '.join(figures)} h", size=2.6, ink=FAINT_INK))
    return "".join(parts)


def _range(low: float, nominal: float, high: float, y: float, solid: bool) -> str:
    wide, fill = (0.9, INK) if solid else (0.3, "#fff")
    ends = "".join(f"M{x:.2f} {y - 0.7:.2f}v1.4" for x in (low, high))
    mark = (
        f'<path d="M{nominal:.2f} {y - 1.2:.2f}l1.2 1.2l-1.2 1.2l-1.2 -1.2z" fill="{fill}" stroke="{INK}"'
        ' stroke-width=".3"/>'
        if solid
        else f'<circle cx="{nominal:.2f}" cy="{y:.2f}" r=".95" fill="{fill}" stroke="{INK}" stroke-width=".35"/>'
    )
    return (
        f'<path d="M{low:.2f} {y:.2f}H{high:.2f}" stroke="{INK}" stroke-width="{wide:g}"/>'
        f'<path d="{ends}" stroke="{INK}" stroke-width=".3"/>{mark}'
    )


def _text(
    x: float, y: float, text: str, *, anchor: str = "start", ink: str = INK, bold: bool = False, size: float = 3.0
) -> str:
    weight = ' font-weight="700"' if bold else ""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" text-anchor="{anchor}" fill="{ink}" font-size="{size:g}"{weight}>'
        f"{escape(text)}</text>"
    )
