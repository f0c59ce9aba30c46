"""One reading held against its limits; an empty or unclear one says nothing, and so passes nothing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from math import inf

from recap.bench.entries import Number, number_of, says_nothing_to_read, text_of
from recap.model.sign_off import FoundReading, ReadingLimit, Verdict
from recap.ruledata import Row, number, table
from recap.units import plain, si

ASSUMED = "passes against an assumed limit"
_TINY = 1e-9
_SAME_FREQUENCY = 0.1
"""Two frequencies this near each other, as a fraction, are taken as the same."""


def judge_reading(limit: ReadingLimit, entries: Mapping[str, object]) -> tuple[FoundReading, ...]:
    """Return what every filled field of a reading says; one incomplete finding where none is filled and one must be."""
    found = tuple(
        _judge(limit, place, entries) for place, field in enumerate(limit.fields) if text_of(entries.get(field))
    )
    if not found and limit.required:
        return (_finding(limit, limit.fields[0], "", Verdict.INCOMPLETE, "is empty"),)
    return found


def _judge(limit: ReadingLimit, place: int, entries: Mapping[str, object]) -> FoundReading:
    field = limit.fields[place]
    entry = entries[field]
    text = text_of(entry)
    if "none" in limit.words and says_nothing_to_read(entry):
        return _finding(limit, field, text, Verdict.PASSED, "nothing to read")
    value = number_of(entry)
    if value is None:
        return _finding(limit, field, text, Verdict.INCOMPLETE, "is not a clear number")
    if not limit.limit_known:
        return _finding(limit, field, text, Verdict.INCOMPLETE, f"has no limit to be held against: {limit.why}")
    if limit.id == "frequency":
        return _finding(limit, field, text, *_frequency(limit, value))
    if limit.frequency_fields:
        frequency = number_of(entries.get(limit.frequency_fields[place]))
        at_hz = None if frequency is None or frequency.exact is None else frequency.exact * 1e3
        shown = text if at_hz is None else f"{text} {limit.unit} at {si(at_hz, 'Hz')}"
        return _finding(limit, field, shown, *_at_frequency(limit, value, at_hz))
    return _finding(limit, field, text, *_plain(limit, value))


def _finding(limit: ReadingLimit, field: str, text: str, verdict: Verdict, because: str) -> FoundReading:
    return FoundReading(limit.id, field, limit.label, text, limit.unit, limit.low, limit.high, verdict, because)


def _plain(limit: ReadingLimit, value: Number) -> tuple[Verdict, str]:
    """Compare with limits that hold as they stand."""
    verdict, because = _within(value, limit.low, limit.high, limit.unit)
    if verdict is not Verdict.PASSED:
        return verdict, because + _sign_hint(limit, value)
    softer, why = _within(value, limit.remark_low, limit.remark_high, limit.unit)
    if softer is not Verdict.PASSED:
        return Verdict.PASSED_WITH_REMARKS, why
    if limit.assumed:
        return Verdict.PASSED_WITH_REMARKS, f"{ASSUMED}: {limit.why}"
    return Verdict.PASSED, because


def _within(value: Number, low: float | None, high: float | None, unit: str) -> tuple[Verdict, str]:
    """Tell whether a number, or everything that a bound leaves open, lies within limits."""
    floor = -inf if low is None else low - _TINY * max(abs(low), 1)
    ceiling = inf if high is None else high + _TINY * max(abs(high), 1)
    if value.low >= floor and value.high <= ceiling:
        return Verdict.PASSED, _said(low, high, unit)
    if value.high < floor or value.low > ceiling:
        return Verdict.NOT_PASSED, _said(low, high, unit)
    return Verdict.INCOMPLETE, f"{_said(low, high, unit)}; the entry leaves that open"


def _said(low: float | None, high: float | None, unit: str) -> str:
    if low is not None and high is not None:
        return f"must lie between {_figure(low, unit)} and {_figure(high, unit)}"
    if high is not None:
        return f"must be at most {_figure(high, unit)}"
    return f"must be at least {_figure(low, unit)}" if low is not None else "no limit"


def _figure(value: float, unit: str) -> str:
    return f"{plain(value, 4)} {unit}"


def _sign_hint(limit: ReadingLimit, value: Number) -> str:
    exact = value.exact
    if limit.unit != "V" or exact is None:
        return ""
    turned, _ = _within(Number(-exact, -exact), limit.low, limit.high, limit.unit)
    return "; if only the sign was left out, write it" if turned is Verdict.PASSED else ""


def _frequency(limit: ReadingLimit, value: Number) -> tuple[Verdict, str]:
    """A frequency other than the expected one is a pointer, not a failure."""
    expected, exact = limit.expected_hz, value.exact
    if expected is None or exact is None:
        return Verdict.PASSED, limit.why
    if abs(exact - expected) <= _SAME_FREQUENCY * expected:
        return Verdict.PASSED, f"{si(expected, 'Hz')} expected"
    return (
        Verdict.PASSED_WITH_REMARKS,
        f"{si(expected, 'Hz')} expected ({limit.why}): look up what this frequency points to",
    )


def _at_frequency(limit: ReadingLimit, value: Number, at_hz: float | None) -> tuple[Verdict, str]:
    """Compare an ESR where its frequency allows it: ESR only falls with frequency."""
    limit_hz = limit.at_hz
    if at_hz is None or limit_hz is None:
        return Verdict.INCOMPLETE, "has no frequency beside it"
    if _same_band(at_hz, limit_hz):
        return _floor_too(limit, value, at_hz, *_plain_high(limit, value))
    over, because = _within(value, None, limit.high, limit.unit)
    if at_hz > limit_hz:
        if over is not Verdict.PASSED:
            return over, f"{because} already at {si(limit_hz, 'Hz')}, and ESR only falls with frequency"
        return _floor_too(limit, value, at_hz, *_above_the_limits_frequency(limit, value, at_hz))
    if over is Verdict.PASSED:
        return Verdict.PASSED, f"{because} at {si(limit_hz, 'Hz')}, and ESR only falls with frequency"
    return Verdict.INCOMPLETE, f"{because} at {si(limit_hz, 'Hz')}: read it there"


def _plain_high(limit: ReadingLimit, value: Number) -> tuple[Verdict, str]:
    verdict, because = _within(value, None, limit.high, limit.unit)
    if verdict is Verdict.PASSED and limit.remark_high is not None:
        softer, why = _within(value, None, limit.remark_high, limit.unit)
        if softer is not Verdict.PASSED:
            return Verdict.PASSED_WITH_REMARKS, why.replace("must be", "a new part is")
    return verdict, because


def _above_the_limits_frequency(limit: ReadingLimit, value: Number, at_hz: float) -> tuple[Verdict, str]:
    guide = limit.high_frequency
    if guide is None or not _in_band("high", at_hz):
        return Verdict.PASSED_WITH_REMARKS, "within the limit of a lower frequency, which says little here"
    if _within(value, None, guide, limit.unit)[0] is Verdict.PASSED:
        return Verdict.PASSED, f"within the guide of {_figure(guide, limit.unit)} at 100 kHz (common practice)"
    return (
        Verdict.PASSED_WITH_REMARKS,
        f"above the guide of {_figure(guide, limit.unit)} at 100 kHz (common practice), within the limit at 120 Hz",
    )


def _floor_too(
    limit: ReadingLimit, value: Number, at_hz: float, verdict: Verdict, because: str
) -> tuple[Verdict, str]:
    """Hold a reading in the band of ESR meters against the floor that a regulator or a loop may need."""
    if verdict is Verdict.NOT_PASSED or not _in_band("high", at_hz):
        return verdict, because
    if limit.low is not None and _within(value, limit.low, None, limit.unit)[0] is Verdict.NOT_PASSED:
        return Verdict.NOT_PASSED, f"must be at least {_figure(limit.low, limit.unit)}: the regulator needs it"
    if limit.remark_low is not None and _within(value, limit.remark_low, None, limit.unit)[0] is Verdict.NOT_PASSED:
        return Verdict.PASSED_WITH_REMARKS, f"below {_figure(limit.remark_low, limit.unit)}: the loop may ring, look"
    return verdict, because


def _bands() -> Iterable[Row]:
    return table("measuring_frequencies")


def _in_band(name: str, frequency_hz: float) -> bool:
    row = next(row for row in _bands() if row["band"] == name)
    return (number(row, "from_hz") or 0.0) <= frequency_hz <= (number(row, "up_to_hz") or inf)


def _same_band(first_hz: float, second_hz: float) -> bool:
    near = abs(first_hz - second_hz) <= _SAME_FREQUENCY * second_hz
    return near or any(_in_band(row["band"], first_hz) and _in_band(row["band"], second_hz) for row in _bands())
