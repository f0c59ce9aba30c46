"""Numbers without unit and without neighbours: pairs, codes, dates, or simply open."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from recap.intake.grammar.bare import as_volts, beside, microfarads, number_value
from recap.intake.grammar.codes import code_options, is_code, picofarads
from recap.intake.grammar.dates import date_option, letter_options, week_options
from recap.intake.grammar.designators import OTHER_PART
from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.values import (
    HOTTEST_CLASSES_C,
    USUAL_CLASSES_C,
    common_ratings,
    diameters_mm,
    in_series,
    is_old_value,
    known_ratings,
    tolerance_letters,
)
from recap.units import volts


def alone(numbers: Sequence[Item], rest: Sequence[Item]) -> list[Item]:
    """Return the pieces that numbers without any neighbour become."""
    typed = any(item.kind == "kind" for item in rest)
    texts = [item.value[1] for item in numbers]
    if len(numbers) == 1:
        return [_single(numbers[0], rest)]
    if len(numbers) == 2 and texts[1] == "000" and not numbers[1].before:
        value = number_value(numbers[0]) * 1000
        return [replace(numbers[0], options=(microfarads(value),), doubt="a bare number may be many things")]
    first, second = number_value(numbers[0]), number_value(numbers[1])
    tag = numbers[1].value[2]
    mark = numbers[1].before.strip().lower()
    extra = [beside(number, {"capacitance", "voltage"}, set()) for number in numbers[2:]]
    if len(numbers) == 2 and mark in ("or", "to", "oder", "and", "und", "..", "to", "~"):
        return [
            replace(
                numbers[0],
                options=(Option({}, f"{texts[0]} {mark} {texts[1]}: no single value"),),
                doubt="two numbers without unit",
            )
        ]
    if 0 in (first, second):
        return [replace(numbers[0], kind="zero", options=())]
    pair, doubt = _pair(first, second, texts, mark, typed)
    if any(item.doubt for item in extra):
        pair = [Option({}, "several bare numbers")]
    if tag or extra:
        pair = pair[:1]
        doubt = doubt or "marks of a can without units"
    unexplained = [item for item in extra if item.fields]
    options = tuple(pair[:3])
    return [
        replace(
            numbers[0],
            kind="pair",
            options=options,
            doubt=doubt,
            rule="value and volts without units",
            confused_with=("two sections", "volts first", "date"),
        ),
        *unexplained,
    ]


def _pair(first: float, second: float, texts: Sequence[str], mark: str, typed: bool) -> tuple[list[Option], str]:
    """Return the readings of two bare numbers: µF and volts, volts and µF, or sections."""

    def reading(value: float, rated: float) -> Option:
        return Option({**microfarads(value).fields, "rated_voltage_v": rated}, f"{value:g} µF {volts(rated)}")

    weeks = week_options("".join(texts)) if all(re.fullmatch(r"\d\d", text) for text in texts) else []
    if weeks and mark in ("/", "-") and not (in_series(first) or is_old_value(first)):
        return [date_option(weeks[0]), reading(first, second)], "a date code is likely"
    if weeks and mark in ("/", "-") and first <= 12 and second not in known_ratings() and second > 50:
        return [date_option(f"19{second:.0f}-{first:02.0f}"), reading(first, second)], "a date code is likely"
    usual, swapped = reading(first, second), reading(second, first)
    both = Option(
        {"sections_f": (round(first * 1e-6, 12), round(second * 1e-6, 12))},
        f"two sections, {first:g} + {second:g} µF",
    )
    if is_code(texts[0]) and int(texts[0][2]) >= 4 and second in known_ratings():
        code = Option(
            {"capacitance_f": float(picofarads(texts[0])), "rated_voltage_v": second},
            f"code {texts[0]} and {volts(second)}",
        )
        return [code, usual], "a code without unit beside a number"
    if second not in known_ratings():
        if first in known_ratings() and (in_series(second) or is_old_value(second)):
            return [swapped, both], "two bare numbers, volts first"
        return [Option({}, "two bare numbers, neither a known rating"), both], "two numbers without unit"
    volts_first = first in known_ratings() and (in_series(second) or is_old_value(second))
    sure = mark == "/" and (typed or first >= 1000 or first != int(first))
    if sure and not (typed and volts_first and not in_series(first)):
        return [usual], ""
    options = [usual, *([swapped] if volts_first else []), both]
    return options, "two bare numbers may be µF and volts, volts and µF, two sections or a range"


def _single(number: Item, rest: Sequence[Item]) -> Item:
    value, text, tag = number_value(number), number.value[1], number.value[2]
    numeral = number.value[0]
    doubt = "a bare number may be many things"
    negative = "-" in number.before
    if tag:
        return replace(number, options=(), doubt=f'"{number.text}" has no known unit')
    if negative and value in HOTTEST_CLASSES_C:
        option = Option({"temperature_c": value}, f"a separating hyphen and {value:g} °C")
        return replace(number, kind="temperature", options=(option,), doubt="the hyphen is likely no minus")
    if value == 0:
        return replace(number, kind="zero", options=())
    if numeral.other is not None:
        both = (microfarads(value), microfarads(float(numeral.other)))
        return replace(number, options=both, doubt="the separator may be decimal or part thousands")
    if re.fullmatch(r"\d{4}", text):
        return _four_digits(number, value, text, doubt)
    if is_code(text):
        return _three_digits(number, value, text)
    options: list[Option] = []
    if value in known_ratings():
        options.append(as_volts(value))
    if in_series(value) or is_old_value(value):
        at = 0 if in_series(value) and value != 6.3 else len(options)
        options.insert(at, microfarads(value))
    if value in HOTTEST_CLASSES_C and value >= 70:
        options.insert(
            0 if value in USUAL_CLASSES_C else len(options),
            Option({"temperature_c": value}, f"{value:g} as {value:g} °C"),
        )
    if value in diameters_mm():
        options.append(Option({"diameter_mm": value}, f"{value:g} as a diameter in mm"))
    if not options:
        options.append(Option({}, f"{text}: no unit, no known value"))
    return replace(number, options=tuple(options[:3]), doubt=doubt, confused_with=("volts", "µF", "size", "designator"))


def _three_digits(number: Item, value: float, text: str) -> Item:
    options, doubt = code_options(text)
    others: list[Option] = []
    if value in USUAL_CLASSES_C:
        others.append(Option({"temperature_c": value}, f"{value:g} as {value:g} °C"))
    if value in known_ratings():
        others.append(as_volts(value))
    doubt = doubt or ("a code, or a bare number" if others else "")
    first = list(options)
    if value in common_ratings() and not in_series(value):
        first = [*others, *options]
        others = []
    return replace(
        number,
        kind="code",
        options=tuple([*first, *others][:3]),
        doubt=doubt,
        rule="three-digit code",
        value=None,
    )


def _four_digits(number: Item, value: float, text: str, doubt: str) -> Item:
    dates = week_options(text)
    if dates and not (text.endswith("00")):
        options = [date_option(dates[0], f"{text} as a date code, {' or '.join(dates)}")]
        options += [date_option(date, f"{text} as a date code, {date}") for date in dates[1:]]
        if 1950 <= value <= 2030:
            options.append(date_option(text, f"{text} as a year"))
        return replace(
            number,
            kind="date",
            options=tuple(options[:3]),
            doubt="four digits may be a date code or a value",
            rule="date code",
            confused_with=("value",),
        )
    if in_series(value) or is_old_value(value):
        return replace(number, options=(microfarads(value),), doubt=doubt, rule="µF understood")
    return replace(number, options=(Option({}, f"{text}: no unit"),), doubt=doubt)


def lone_letter(text: str) -> Item | None:
    """Read a text that is one tolerance letter, or a year letter with a month."""
    text = text.strip("()[] ")
    if len(text) == 1 and text.upper() in tolerance_letters() and text.isupper():
        low, high = tolerance_letters()[text]
        option = Option({"tolerance_pct": (low, high)}, f"{text} as a tolerance letter: {low:+g} to {high:+g} %")
        return Item(
            "tolerance",
            text,
            (option,),
            "a letter alone may be a tolerance, a prefix or a series",
            "tolerance letter",
        )
    if not re.fullmatch("[A-Z][1-9OND]", text) or text[0] in "CP" or OTHER_PART.fullmatch(text):
        return None
    if found := letter_options(text):
        options = tuple(date_option(date, f"{text} as year letter and month: {date}") for date in found[-3:])
        return Item("date", text, options, "the year letter comes round every twenty years", "date letters")
    return None
