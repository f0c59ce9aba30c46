"""A check in words for a terminal: verdict, points, life, what would make it fit; and several parts side by side."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from recap.model import LifeEstimate
from recap.model.check import PartCheck, Point, PointVerdict, Verdict
from recap.model.figures import demand, describe, figure, name_of
from recap.units import plain

WIDTH = 100
VERDICT_WORDS = {
    Verdict.FITS: "fits",
    Verdict.FITS_WITH_NOTE: "fits with a note",
    Verdict.ASK: "ask",
    Verdict.NO: "no",
}
_MARKS = {
    PointVerdict.OK: "ok",
    PointVerdict.NOTE: "note",
    PointVerdict.CANNOT_TELL: "?",
    PointVerdict.FAILS: "FAILS",
}
_RANKS = tuple(_MARKS)
_REMEDY_TITLES = {
    Verdict.FITS: "It fits if",
    Verdict.FITS_WITH_NOTE: "It fits if",
    Verdict.ASK: "For it to fit",
    Verdict.NO: "For it to fit",
}
_INDENT = " " * 9
_WANTED = 16


def check_lines(check: PartCheck, *, full: bool = False) -> list[str]:
    """Return one check as lines: of demands on one quantity the tightest, or all of them in full."""
    pair = "" if check.arrangement == "single" else f" ({check.arrangement})"
    lines = [
        *_wrapped(describe(check.part) or check.part.text, "", "  "),
        f"at {check.key}: {VERDICT_WORDS[check.verdict].upper()}{pair}",
        "",
    ]
    rows = [_row(point) for point in _shown(check.points, full)]
    widths = [max((len(row[column]) for row in rows), default=0) for column in range(5)]
    for row, point in zip(rows, _shown(check.points, full), strict=True):
        lines += _point_lines(row, widths, point, full)
    lines += ["", "Estimated life here:   " + _life(check.life, "cannot tell: needs endurance and temperature")]
    lines.append("The original when new: " + _life(check.original_life, "not known"))
    if check.would_fit_if:
        lines += ["", _REMEDY_TITLES[check.verdict]]
        lines += [line for text in check.would_fit_if for line in _wrapped(text, "  - ", "    ")]
    if check.suspicions:
        lines.append("")
    for text in check.suspicions:
        lines += _wrapped(f"Doubtful: {text}.", "", "  ")
    return lines


def _shown(points: Sequence[Point], full: bool) -> list[Point]:
    """Keep of the points on one quantity the one that matters most; a wish that is met says nothing beside a must."""
    if full:
        return list(points)
    chosen: dict[tuple[object, ...], Point] = {}
    for point in points:
        name = (point.quantity, point.relation, point.frequency_hz)
        other = chosen.get(name)
        if other is None or _weight(point) > _weight(other):
            chosen[name] = point
    return list(chosen.values())


def _weight(point: Point) -> tuple[float, float]:
    return _RANKS.index(point.verdict) + 0.5 * point.asks, -(point.margin if point.margin is not None else 0.0)


def _row(point: Point) -> tuple[str, ...]:
    return (
        _MARKS[point.verdict],
        name_of(point.quantity, point.frequency_hz),
        figure(point.provided, point.unit),
        demand(point.relation, point.required, point.unit),
        _margin(point),
    )


def _margin(point: Point) -> str:
    if point.margin is None or (point.verdict is PointVerdict.CANNOT_TELL and not point.asks):
        return ""
    if abs(point.margin) < 1e-12:
        return "just" if point.margin_pct is not None else "same"
    size = figure(abs(point.margin), point.unit)
    sign = "+" if point.margin > 0 else "−"
    share = ""
    if point.margin_pct is not None:
        share = f" ({sign}{abs(point.margin_pct):.0f} %)" if abs(point.margin_pct) < 1000 else ""
    return f"{sign}{size}{share}"


def _point_lines(row: Sequence[str], widths: Sequence[int], point: Point, full: bool) -> list[str]:
    mark, name, has, wanted, margin = row
    line = f"  {mark:<5}  {name:<{widths[1]}}  {has:<{widths[2]}}  {wanted:<{min(widths[3], _WANTED)}}"
    line += f"  {margin:<{widths[4]}}"
    if point.verdict is PointVerdict.OK and not full:
        with_rule = f"{line}  {point.rule}"
        if len(with_rule) <= WIDTH:
            return [with_rule]
        return [line.rstrip(), _INDENT + point.rule]
    return [line.rstrip(), *_wrapped(f"{point.rule}: {point.reason}", _INDENT, _INDENT)]


def _life(life: LifeEstimate | None, otherwise: str) -> str:
    if life is None:
        return otherwise
    return f"{plain(life.nominal_h)} h ({plain(life.low_h)} to {plain(life.high_h)} by other models)"


def side_by_side(checks: Sequence[PartCheck], behind: Sequence[str]) -> list[str]:
    """Return several parts at one position as a table, best first, and why each stands behind the one before it."""
    shown = [_shown(check.points, False) for check in checks]
    names = list(
        dict.fromkeys((point.quantity, point.relation, point.frequency_hz) for each in shown for point in each)
    )
    width = max((WIDTH - 34) // max(len(checks), 1) - 2, 14)
    head = ["", *(f"[{number}]" for number in range(1, len(checks) + 1))]
    lines = [f"{len(checks)} parts at {checks[0].key}, best first", ""]
    for number, check in enumerate(checks, 1):
        lines += _wrapped(describe(check.part) or check.part.text, f"  [{number}] ", "      ")
    lines += ["", _cells(head, width), _cells(["verdict", *(VERDICT_WORDS[check.verdict] for check in checks)], width)]
    for name in names:
        found = [next((p for p in each if (p.quantity, p.relation, p.frequency_hz) == name), None) for each in shown]
        first = next(point for point in found if point is not None)
        title = name_of(first.quantity, first.frequency_hz)
        sign = {"at_least": " ≥", "at_most": " ≤"}.get(str(first.relation), "")
        lines.append(_cells([title + sign, *(_cell(point) for point in found)], width))
    if not any(quantity == "estimated_life_h" for quantity, _, _ in names):
        lines.append(_cells(["estimated life", *(_short_life(check.life) for check in checks)], width))
    for number, text in enumerate(behind, 2):
        lines += ["", *_wrapped(f"[{number}] stands behind [{number - 1}]: {text}.", "", "    ")]
    return lines


def _cell(point: Point | None) -> str:
    if point is None:
        return ""
    mark = "" if point.verdict is PointVerdict.OK else f" {_MARKS[point.verdict]}"
    return figure(point.provided, point.unit) + mark


def _short_life(life: LifeEstimate | None) -> str:
    return "unknown" if life is None else f"{plain(life.nominal_h)} h"


def _cells(texts: Sequence[str], width: int) -> str:
    first, *others = texts
    return f"  {first[:30]:<30}  " + "  ".join(f"{_shortened(text, width):<{width}}" for text in others).rstrip()


def _shortened(text: str, width: int) -> str:
    return text if len(text) <= width else text[: width - 1] + "…"


def where_lines(checks: Sequence[PartCheck], *, full: bool = False) -> list[str]:
    """Return where one part may go: the positions by verdict, with what speaks against them.

    Of the positions where it does not fit only those that one point bars are named, or all in full.
    """
    several = len({check.key.unit for check in checks}) > 1
    lines = [*_wrapped(describe(checks[0].part) or checks[0].part.text, "", "  "), ""] if checks else []
    for verdict in Verdict:
        found = [check for check in checks if check.verdict is verdict]
        if not found:
            continue
        lines.append(f"{VERDICT_WORDS[verdict]}: {len(found)} position{'s' if len(found) > 1 else ''}")
        groups: dict[tuple[str, ...], list[str]] = {}
        for check in found:
            groups.setdefault(_against(check), []).append(_short(check, several))
        near = {why: keys for why, keys in groups.items() if full or verdict is not Verdict.NO or len(why) == 1}
        for why, keys in sorted(near.items(), key=lambda item: -len(item[1])):
            title = f"{', '.join(why)}: " if why else ""
            lines += _wrapped(title + ", ".join(keys), "  ", "    ")
        rest = len(found) - sum(map(len, near.values()))
        if rest:
            lines.append(f"  {rest} more that miss several points; --full names them")
    return lines


def _short(check: PartCheck, with_unit: bool) -> str:
    key = check.key
    return str(key) if with_unit else "/".join(part for part in key[1:] if part)


def _against(check: PartCheck) -> tuple[str, ...]:
    """Return the points that decide a verdict, by name; none where all are met."""
    points = [point for point in check.points if point.verdict is PointVerdict.FAILS or point.asks]
    if not points:
        points = [point for point in check.points if point.verdict is not PointVerdict.OK]
    return tuple(dict.fromkeys(name_of(point.quantity, point.frequency_hz) for point in points))


def _wrapped(text: str, first: str, further: str) -> Iterable[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=further, break_on_hyphens=False)
