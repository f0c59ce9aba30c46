"""The cells of a catalogue's column, each distinct text read once."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from recap.intake.notation import read_marking
from recap.intake.quantities import NotReadError
from recap.intake.values import choices_by_name
from recap.model import Kind, Mounting
from recap.parts.catalogue import Floats
from recap.parts.headings import CatalogueColumn, factor
from recap.parts.numerals import decimal_mark, read_number, read_whole, says_nothing
from recap.units import plain

Fields = Mapping[str, float | str]
"""What one text says: fields of a part with their values."""
Breaks = tuple[tuple[float, float], ...]
"""Pairs of a quantity and the unit price from there on."""


@dataclass(frozen=True, slots=True)
class Failure:
    """Why one distinct text could not be read."""

    index: int
    code: str
    message: str
    hint: str = ""


@dataclass(slots=True)
class ReadTexts:
    """What the distinct texts of a column say, field by field, each as long as the texts."""

    numbers: dict[str, Floats] = field(default_factory=dict)
    words: dict[str, list[str]] = field(default_factory=dict)
    breaks: list[Breaks] = field(default_factory=list)
    failures: list[Failure] = field(default_factory=list)


def read_texts(column: CatalogueColumn, texts: Sequence[str]) -> ReadTexts:
    """Read the distinct texts of one column."""
    read = ReadTexts()
    reader = _READERS[column.reads]
    known = [index for index, text in enumerate(texts) if not says_nothing(text)]
    if column.reads in ("word", "text"):
        read.words[column.field] = ["" if says_nothing(text) else " ".join(text.split()) for text in texts]
        return read
    mark = decimal_mark(texts[index] for index in known)
    read.breaks = [()] * len(texts) if column.reads == "price" else []
    for index in known:
        try:
            said = reader(texts[index], column, mark)
        except NotReadError as error:
            code = "ambiguous" if error.ambiguous else "catalogue-cell"
            read.failures.append(Failure(index, code, f"{error}; it stays unknown"))
            continue
        if isinstance(said, tuple):
            read.breaks[index] = said
            continue
        for name, value in said.items():
            if isinstance(value, str):
                read.words.setdefault(name, [""] * len(texts))[index] = value
            elif (outside := _outside(value, name, column)) is not None:
                read.failures.append(Failure(index, "out-of-range", outside))
            else:
                read.numbers.setdefault(name, np.full(len(texts), np.nan))[index] = value
    return read


def read_numbers(column: CatalogueColumn, values: Floats) -> tuple[Floats, np.ndarray]:
    """Return plain numbers of a column in the model's unit, and where they are outside anything that occurs."""
    scale = (factor(column.bare_unit or column.unit, column.unit) if column.unit else None) or 1.0
    if column.reads == "loss" and (column.bare_unit == "%" or np.nanmax(values, initial=0.0) > LARGEST_LOSS):
        scale = 0.01
    if scale == 1.0:
        scaled = values
    elif round(1 / scale, 6).is_integer():
        scaled = values / round(1 / scale)  # 220 / 1e6 is 2.2e-4 to the last digit, 220 * 1e-6 is not
    else:
        scaled = values * scale
    own = (factor(column.unit, column.unit) if column.unit else None) or 1.0
    low, high = (None if limit is None else limit * own for limit in (column.low, column.high))
    outside = np.isinf(scaled)
    if low is not None:
        outside |= scaled < low * (1 - 1e-9)
    if high is not None:
        outside |= scaled > high * (1 + 1e-9)
    return (np.where(outside, np.nan, scaled) if outside.any() else scaled), outside


LARGEST_LOSS = 2.0
"""A column of loss with figures above this is in per cent: the range of catalogue_columns.csv."""


def _outside(value: float, name: str, column: CatalogueColumn) -> str | None:
    if name.endswith("_hz") or name.startswith("tolerance") or (column.low is None and column.high is None):
        return None
    if column.reads in ("endurance", "range") and name not in (f"{column.field}_h",):
        return None
    own = (factor(column.unit, column.unit) if column.unit else None) or 1.0
    low, high = column.low or 0.0, column.high if column.high is not None else np.inf
    if low * (1 - 1e-9) <= value / own <= high * (1 + 1e-9):
        return None
    return f"is outside {plain(low, 6)} to {plain(high, 6)} {column.unit}; it stays unknown"


def _number(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    return {column.field: read_number(text, mark, column.bare_unit, column.unit)}


def _whole(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    return {column.field: read_whole(text)}


def _capacitance(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    try:
        return {"capacitance_f": read_number(text, mark, column.bare_unit, column.unit)}
    except NotReadError as error:
        best = read_marking(text, "capacitance", column.bare_unit).best
        if best is None or best.capacitance_f is None or error.ambiguous:
            raise
    return {"capacitance_f": best.capacitance_f}


def _volts(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    try:
        return {"rated_voltage_v": read_number(re.sub(r"(?i)\s*v\s*dc$|\s*wv$", "V", text), mark, "V", "V")}
    except NotReadError as error:
        best = read_marking(text, "voltage").best
        if best is None or best.rated_voltage_v is None or error.ambiguous:
            raise
    return {"ac_voltage_v" if best.ac else "rated_voltage_v": best.rated_voltage_v}


def _tolerance(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    best = read_marking(text, "tolerance").best
    if best is None or best.tolerance_pct is None:
        raise NotReadError("is no tolerance")
    low, high = best.tolerance_pct
    return {"tolerance_low": low / 100, "tolerance_high": high / 100}


_RANGE = re.compile(
    r"(-?\d{1,3}(?:[.,]\d)?)\s*°?\s*C?\s*(?:to|bis|\.\.+|…|~|/|–|-|,|\s)\s*\+?(\d{2,3}(?:[.,]\d)?)\s*°?\s*C?"
)
_ALONE = re.compile(r"\+?\s*(\d{2,3}(?:[.,]\d)?)\s*°?\s*C?")


def _range(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    bare = text.replace("−", "-").replace("°C", "").replace("℃", "").strip()
    if found := _RANGE.fullmatch(bare):
        low, high = (float(each.replace(",", ".")) for each in found.groups())
        if -80 <= low < high <= 250:
            return {"lower_category_temperature_c": low, "upper_category_temperature_c": high}
    if found := _ALONE.fullmatch(bare):
        return {"upper_category_temperature_c": float(found[1].replace(",", "."))}
    raise NotReadError("is no temperature range such as -40 to 105 °C")


_ENDURANCE = re.compile(
    r"(?P<hours>.+?)\s*(?P<unit>k?\s*h(?:ou)?rs?\.?|k?\s*h)?\s*(?:[@/]|at|bei)\s*(?P<at>\d{2,3})\s*(?:°\s*)?C?", re.I
)


def _endurance(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    said: dict[str, float | str] = {}
    if found := _ENDURANCE.fullmatch(text.strip()):
        said["endurance_temperature_c"] = float(found["at"])
        text = found["hours"] + (found["unit"] or "")
    bare = re.sub(r"(?i)\s*h(?:ou)?rs?\.?$|\s*h$", "", text.strip())
    thousands = 1000.0 if bare.casefold().endswith("k") else 1.0
    try:
        said["endurance_h"] = read_whole(bare.rstrip("kK ")) * thousands
    except NotReadError:
        raise NotReadError("is no endurance in hours") from None
    return said


_AT = re.compile(r"(?P<amount>.+?)\s*(?:@|at|/|\()\s*(?P<number>\d+(?:[.,]\d+)?)\s*(?P<prefix>[kKM])?\s*Hz\)?.*", re.I)


def _at_frequency(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    """Read a figure with or without its own frequency, "1.2A@100kHz"."""
    name = "ripple" if column.reads == "ripple" else "esr"
    if found := _AT.fullmatch(text.strip()):
        scale = {"k": 1e3, "m": 1e6}.get((found["prefix"] or "").casefold(), 1.0)
        amount = read_number(found["amount"], mark, column.bare_unit, column.unit)
        return {name: amount, f"{name}_hz": float(found["number"].replace(",", ".")) * scale}
    return {name: read_number(text, mark, column.bare_unit, column.unit)}


def _loss(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    per_cent = text.strip().endswith("%") or column.bare_unit == "%"
    value = read_number(text.strip().rstrip("% "), mark, "", "")
    return {"dissipation_factor": value / 100 if per_cent else value}


def _size(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    best = read_marking(text, "size", column.bare_unit).best
    names = ("diameter_mm", "length_mm", "lead_spacing_mm")
    said = {} if best is None else {name: value for name in names if (value := getattr(best, name)) is not None}
    if not said:
        raise NotReadError("is no size such as 10x20")
    return said


def _choice(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    """Read kind or mounting by their words; a cell may say both, and that the part is bipolar."""
    said: dict[str, float | str] = {}
    name = _plain(text)
    for list_name, field_name in (("Kind", "kind"), ("Mounting", "mounting")):
        found = choices_by_name(list_name).get(name)
        if found is not None and found[1] not in (Kind.UNKNOWN, Mounting.UNKNOWN):
            said[field_name] = str(found[1])
            break
    else:
        marking = read_marking(text)
        said |= {"kind": str(marking.kind)} if marking.kind else {}
        said |= {"mounting": str(marking.mounting)} if marking.mounting else {}
        said |= {"safety_class": marking.safety_class} if marking.safety_class else {}
    if not said:
        raise NotReadError(f"is no {column.heading.casefold()} known here")
    return said


@cache
def _plain(text: str) -> str:
    from recap.intake.columns import plain_name

    return plain_name(text) or text.strip()


_BIPOLAR = frozenset({"bipolar", "nonpolar", "nonpolarised", "nonpolarized", "np", "bp", "unpolar", "unpolarised"})
_POLAR = frozenset({"polar", "polarised", "polarized", "yes", "p"})


def _polarity(text: str, column: CatalogueColumn, mark: str | None) -> Fields:
    name = _plain(text)
    if name in _BIPOLAR or (name == "yes" and "bi" in column.heading.casefold()):
        return {"bipolar": 1.0}
    if name in _POLAR:
        return {"bipolar": 0.0}
    raise NotReadError("is neither polar nor bipolar")


_PAIR = re.compile(
    r"\s*(?P<count>\d[\d.,' ]*?)\s*(?:\+|pcs?\.?|off|x)?\s*(?:[:=@]|→|\s)\s*(?P<price>[€$£]?\s*\d[\d.,]*)\s*\S{0,3}\s*"
)


def _price(text: str, column: CatalogueColumn, mark: str | None) -> Fields | Breaks:
    """Read one price, or a list of breaks such as 1:0.31;10:0.24."""
    pieces = [piece for piece in re.split(r"[;|\n]|,\s+", text) if piece.strip()]
    pairs = [_PAIR.fullmatch(piece) for piece in pieces]
    if len(pieces) > 1 or (pairs and pairs[0] and re.search(r"[:=@+→]", text)):
        if not all(pairs):
            raise NotReadError("is no list of prices such as 1:0.31;10:0.24")
        texts = [pair["price"] for pair in pairs if pair]
        own = mark or decimal_mark(texts)
        found = [(read_whole(pair["count"]), read_number(pair["price"], own or ".", "", "")) for pair in pairs if pair]
        return tuple(sorted(found))
    value = read_number(text, mark, "", "")
    return ((column.break_quantity or 1.0, value),)


_READERS: Mapping[str, Callable[[str, CatalogueColumn, str | None], Fields | Breaks]] = {
    "number": _number,
    "whole": _whole,
    "capacitance": _capacitance,
    "volts": _volts,
    "tolerance": _tolerance,
    "range": _range,
    "endurance": _endurance,
    "ripple": _at_frequency,
    "resistance": _at_frequency,
    "loss": _loss,
    "size": _size,
    "choice": _choice,
    "polarity": _polarity,
    "price": _price,
    "word": _number,
    "text": _number,
}
