"""Pictures of readings against their limits: a band that is allowed, hollow marks before, solid marks afterwards."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from markupsafe import Markup, escape

from recap.bench.entries import number_of
from recap.model.sign_off import FoundReading, RowKind, RowVerdict, UnitVerdict

_LEFT, _WIDE, _STEP, _TOP = 120.0, 360.0, 18.0, 26.0
_BEFORE = {"capacitance": "before_capacitance_uf", "esr": "before_esr_ohm", "leakage": "before_leakage_ua"}
_FITTED = {RowKind.REPLACE, RowKind.REFORM}
_SMALLEST_SHARE = 0.01


@dataclass(frozen=True, slots=True)
class Strip:
    """One line of a picture, everything as a fraction of its width: allowed band, marks before and after."""

    label: str
    band: tuple[float, float]
    before: tuple[float, ...]
    after: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Scale:
    """How a reading is placed between the ends of a picture: None where its limits do not allow it."""

    place: Callable[[FoundReading, float], float | None]
    axis: tuple[tuple[float, str], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A titled picture with the words under its axis."""

    title: str
    axis: tuple[tuple[float, str], ...]
    strips: tuple[Strip, ...]


def _linear(reading: FoundReading, value: float) -> float | None:
    low, high = reading.low, reading.high
    return None if low is None or high is None or low + high <= 0 else value / (low + high)


def _share(reading: FoundReading, value: float) -> float | None:
    if not reading.high or reading.high < 0 or value < 0:
        return None
    return (math.log10(max(value / reading.high, _SMALLEST_SHARE)) + 2) / 3


def _window(reading: FoundReading, value: float) -> float | None:
    low, high = reading.low, reading.high
    return None if low is None or high is None or low == high else (value - low) / (high - low) / 3 + 1 / 3


MIDDLE = Scale(_linear, ((0.0, "0"), (0.25, "0.5"), (0.5, "1"), (0.75, "1.5"), (1.0, "2")))
SHARE = Scale(_share, ((0.0, "1 %"), (1 / 3, "10 %"), (2 / 3, "limit"), (1.0, "10 times")))
WINDOW = Scale(_window, ((1 / 3, "lower limit"), (0.5, "middle"), (2 / 3, "upper limit")))


def pictures(unit: UnitVerdict) -> list[Picture]:
    """Return the pictures of a unit that have something to show."""
    parts = [(f"{board.board}/{row.name}", row) for board in unit.boards for row in board.rows if row.kind in _FITTED]
    rails = [(row.name, row) for board in unit.boards for row in board.rows if row.kind is RowKind.RAIL]
    found = (
        _picture("Capacitance, the middle of its limits at 1", parts, "capacitance", MIDDLE),
        _picture("ESR against its limit", parts, "esr", SHARE),
        _picture("Leakage against its limit", parts, "leakage", SHARE),
        _picture("Direct voltage of the rails within their windows", rails, "dc", WINDOW),
        _picture("Ripple of the rails against its limit", rails, "ripple", SHARE),
    )
    return [picture for picture in found if picture.strips]


def _picture(title: str, rows: Iterable[tuple[str, RowVerdict]], name: str, scale: Scale) -> Picture:
    strips = (_strip_of(label, row, name, scale) for label, row in rows)
    return Picture(title, scale.axis, tuple(strip for strip in strips if strip is not None))


def _strip_of(label: str, row: RowVerdict, name: str, scale: Scale) -> Strip | None:
    readings = [reading for reading in row.readings if reading.id == name]
    if not readings:
        return None
    after = [at for reading in readings for at in _marks(reading, reading.text, scale)]
    before = list(_marks(readings[0], dict(row.entered).get(_BEFORE.get(name, ""), ""), scale))
    if not after and not before:
        return None
    low = 0.0 if scale is SHARE else scale.place(readings[0], readings[0].low or 0.0)
    high = scale.place(readings[0], readings[0].high or 0.0)
    return Strip(label, (low or 0.0, high or 0.0), tuple(before), tuple(after))


def _marks(reading: FoundReading, text: str, scale: Scale) -> Iterable[float]:
    number = number_of(text.partition(f" {reading.unit} at ")[0])
    at = None if number is None or number.exact is None else scale.place(reading, number.exact)
    if at is not None:
        yield min(max(at, 0.0), 1.0)


def draw(picture: Picture) -> Markup:
    """Return a picture as SVG; a mark at either end stands at or beyond it."""
    height = _TOP + _STEP * len(picture.strips) + 22
    foot = _TOP + _STEP * len(picture.strips)
    words = "".join(
        f'<text x="{_x(at):.1f}" y="{foot + 14:.1f}" text-anchor="middle">{escape(text)}</text>'
        f'<path d="M{_x(at):.1f} {_TOP - 4:.1f}V{foot:.1f}" stroke="#bbb" stroke-width="0.6"/>'
        for at, text in picture.axis
    )
    strips = "".join(_strip(strip, _TOP + _STEP * number) for number, strip in enumerate(picture.strips))
    return Markup(
        f'<svg class="strips" role="img" aria-label="{escape(picture.title)}" viewBox="0 0 {_LEFT + _WIDE + 40:.0f} '
        f'{height:.0f}" font-size="10" font-family="inherit">'
        f'<text x="0" y="12" font-weight="700" font-size="11">{escape(picture.title)}</text>{words}{strips}</svg>'
    )


def _x(fraction: float) -> float:
    return _LEFT + _WIDE * fraction


def _strip(strip: Strip, top: float) -> str:
    middle = top + _STEP / 2
    low, high = strip.band
    band = (
        f'<rect x="{_x(low):.1f}" y="{top + 3:.1f}" width="{_WIDE * (high - low):.1f}" height="{_STEP - 6:.1f}"'
        ' fill="#e2e2dc" stroke="#777" stroke-width="0.6"/>'
    )
    hollow = "".join(
        f'<rect x="{_x(at) - 3.6:.1f}" y="{middle - 3.6:.1f}" width="7.2" height="7.2" fill="#fff" stroke="#111"'
        f' stroke-width="1.4" transform="rotate(45 {_x(at):.1f} {middle:.1f})"/>'
        for at in strip.before
    )
    solid = "".join(f'<circle cx="{_x(at):.1f}" cy="{middle:.1f}" r="3.8" fill="#111"/>' for at in strip.after)
    label = f'<text x="{_LEFT - 8:.1f}" y="{middle + 3.5:.1f}" text-anchor="end">{escape(strip.label)}</text>'
    return f"{label}{band}{hollow}{solid}"
