"""Date codes, and the dates that spreadsheets make of values."""

from __future__ import annotations

import datetime
import re
from collections.abc import Sequence
from functools import cache

from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.values import common_ratings, in_series, is_old_value, known_ratings
from recap.ruledata import table
from recap.units import volts

_MONTHS = (
    ("jan", "jän"), ("feb",), ("mar", "mär", "mrz", "maer"), ("apr", "avr"), ("may", "mai", "mag"),
    ("jun", "juin", "giu"),
    ("jul", "juil", "lug"), ("aug", "aoû", "ago"), ("sep", "set"), ("oct", "okt", "ott"),
    ("nov",), ("dec", "dez", "déc", "dic"),
)  # fmt: skip
_MONTH = "|".join(sorted((name for names in _MONTHS for name in names), key=len, reverse=True))
_MONTH = rf"(?P<month>{_MONTH})[a-zäéû]*\.?"
_SEP = r"[-./ ]{1,2}"
_CLOCK = r"(?:[ T]\d\d?:\d\d(?::\d\d(?:\.\d+)?)?)?"
DAY_MONTH = re.compile(rf"(?P<day>\d{{1,2}}){_SEP}{_MONTH}(?:{_SEP}(?P<year>\d{{2,4}}))?", re.I)
MONTH_NUMBER = re.compile(rf"{_MONTH}{_SEP}(?P<number>\d{{1,4}})", re.I)
NUMERIC = re.compile(rf"(?P<one>\d{{1,2}})(?P<mark>[./-])(?P<two>\d{{1,2}})(?P=mark)(?P<year>\d{{4}}|\d\d){_CLOCK}")
ISO = re.compile(rf"(?P<year>\d{{4}})-(?P<month>\d\d)-(?P<day>\d\d){_CLOCK}")

LABELLED = re.compile(
    r"(?:date(?: ?code)?|d/c|dc(?=[ ]?[:=])|code date|dc(?= \d{4}(?! ?[A-Za-z\d]))|mfg|made|datum|yyww)\.? ?[:=]? ?"
    r"(?P<code>\d{2}[-/ ]?\d{2}|\d{6}|[A-Z][1-9OND]|(?:19|20)\d\d)(?![\w.,])",
    re.I,
)
LABEL_AFTER = re.compile(r"(?P<code>\d{4}) ?(?:date ?code|d/c|yyww)(?![A-Za-z])", re.I)
WEEK_OF = re.compile(
    r"(?:week|wk|kw|w)\.? ?(?P<week>\d{1,2})[ /,-]*(?:of )?'?(?P<year>\d{4}|\d\d)(?!\w)"
    r"|(?P<year2>(?:19|20)\d\d)[ -]?(?:week|wk|kw|w)\.? ?(?P<week2>\d{1,2})(?!\w)",
    re.I,
)
SOURCE_CODE = re.compile(r"(?P<maker>\d{3,6})-(?P<code>\d{4})(?![\w.,])")
DOUBT = "a spreadsheet took the value for a date"


def _year(two: int) -> int:
    """Return the latest full year that is not in the future."""
    this = datetime.date.today().year
    return 2000 + two if 2000 + two <= this else 1900 + two


def week_options(code: str) -> list[str]:
    """Return the dates that four digits can stand for: year and week, or week and year.

    >>> week_options("8610"), week_options("8786")
    (['1986-W10'], [])
    """
    found = []
    for year, week in ((code[:2], code[2:]), (code[2:], code[:2])):
        full = _year(int(year))
        if 1 <= int(week) <= 53 and full >= 1950:
            found.append(f"{full}-W{int(week):02d}")
    return list(dict.fromkeys(found))


@cache
def _letters(kind: str) -> dict[str, int]:
    return {row["letter"]: int(row["value"]) for row in table("date_letters") if row["kind"] == kind}


def letter_options(code: str) -> list[str]:
    """Return the months that a year letter and a month sign can stand for, twenty years apart.

    >>> letter_options("M9")[:2]
    ['2000-09', '2020-09']
    """
    year, month = _letters("year").get(code[0]), _letters("month").get(code[1])
    if year is None or month is None:
        return []
    this = datetime.date.today().year
    return [f"{full}-{month:02d}" for full in range(year, this + 1, 20)]


def date_option(date: str, because: str = "") -> Option:
    """Return a reading that is only a date."""
    return Option({"date": date}, because or f"date code, {date}")


def labelled(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read date code 8610."""
    code = re.sub(r"[-/ ]", "", match["code"])
    if re.fullmatch("(?:19|20)\\d\\d", code):
        found = [code]
    elif len(code) == 4:
        found = week_options(code)
    else:
        found = letter_options(code.upper()) if len(code) == 2 else []
    if not found:
        return None
    doubt = "" if len(found) == 1 else "the code fits several dates"
    options = tuple(date_option(date) for date in found[:3])
    if len(code) == 4 and len(found) == 2:
        options, doubt = options[:1], ""
    return Item("date", match[0], options, doubt, "date code")


def week_of(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read week 10 of 1986."""
    week, year = int(match["week"] or match["week2"]), int(match["year"] or match["year2"])
    if not 1 <= week <= 53:
        return None
    full = year if year > 99 else _year(year)
    return Item("date", match[0], (date_option(f"{full}-W{week:02d}"),), "", "date code")


def source_code(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a maker's number and a date: 235-7412."""
    found = week_options(match["code"])
    if not found:
        return None
    return Item(
        "date",
        match[0],
        (date_option(found[0], f"maker's number {match['maker']}, date {found[0]}"),),
        "a maker's number and a date code are likely",
        "source and date code",
    )


def _likelihood(capacitance: float, rated: float) -> float:
    value = 2.5 if in_series(capacitance) else 1.0 if is_old_value(capacitance) else 0.0
    rating = 2.0 if rated in common_ratings() else 1.0 if rated in known_ratings() else 0.0
    return value + rating if rating else value - 2


def recover(
    day: int | None, month: int, year: int | None, *, dotted: bool = False, expect: str | None = None
) -> tuple[Option, ...]:
    """Return what a date cell may have been: µF/V, V/µF or a decimal number, likeliest first."""
    scored: list[tuple[float, Option]] = []

    def pair(capacitance: float, rated: float, how: str, bonus: float = 0.0) -> None:
        if rated < 2:
            return
        option = Option(
            {"capacitance_f": round(capacitance * 1e-6, 12), "rated_voltage_v": float(rated)},
            f"{capacitance:g}/{rated:g} taken for a date ({how}): {capacitance:g} µF {volts(rated)}",
        )
        scored.append((_likelihood(capacitance, rated) + bonus, option))

    if day is not None:
        pair(month, day, "month first")
        pair(day, month, "day first")
        for whole, part in ((day, month), (month, day)):
            decimal = float(f"{whole}.{part}")
            # Dotted dates come from comma-decimal locales, where only the dot number is damaged.
            bonus = (2.0 if dotted else 1.0) if whole == day else 0.0
            if decimal in known_ratings() and expect != "capacitance":
                because = f"{decimal:g} taken for a date: {volts(decimal)}"
                scored.append((2.2 + bonus, Option({"rated_voltage_v": decimal}, because)))
            elif in_series(decimal) and expect != "voltage":
                because = f"{decimal:g} taken for a date: {decimal:g} µF"
                scored.append((2.0 + bonus, Option({"capacitance_f": round(decimal * 1e-6, 12)}, because)))
    if year is not None and (day is None or day == 1) and not dotted:
        pair(month, year % 100, "month and year", 0.5 if year % 100 > 31 or day is None else -0.5)
    ranked = sorted(scored, key=lambda entry: -entry[0])
    unique: list[Option] = []
    for _, option in ranked:
        if all(option.fields != known.fields for known in unique):
            unique.append(option)
    return tuple(unique[:3])


def _month_number(name: str) -> int:
    start = name.lower()
    return next(number for number, names in enumerate(_MONTHS, 1) if any(start.startswith(n) for n in names))


def damaged_text(text: str, expect: str | None = None) -> Item | None:
    """Read a whole cell that looks like a date."""
    options: tuple[Option, ...] = ()
    if match := ISO.fullmatch(text):
        options = recover(int(match["day"]), int(match["month"]), int(match["year"]), expect=expect)
    elif match := NUMERIC.fullmatch(text):
        day, month = int(match["one"]), int(match["two"])
        if month > 12 >= day:
            day, month = month, day
        if 1 <= month <= 12 and 1 <= day <= 31:
            year = int(match["year"])
            options = recover(day, month, year if day == 1 else None, dotted=match["mark"] == ".", expect=expect)
    elif (match := DAY_MONTH.fullmatch(text)) and int(match["day"]) <= 31:
        options = recover(int(match["day"]), _month_number(match["month"]), None, expect=expect)
    elif match := MONTH_NUMBER.fullmatch(text):
        number = int(match["number"])
        month = _month_number(match["month"])
        if number <= 31:
            options = recover(number, month, None, expect=expect)
        options = options or recover(None, month, number, expect=expect)
    if not options:
        return None
    return Item("damage", text, options, DOUBT, "spreadsheet damage", confused_with=("date",))


CLAUSES = ((LABELLED, labelled), (LABEL_AFTER, labelled), (WEEK_OF, week_of), (SOURCE_CODE, source_code))
