"""A part as somebody types it: "1000u 16V 105C 10x20 P5 5000h 1.2A@100kHz 22mohm"."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import Any

from recap.intake.notation import read_marking
from recap.model import Kind, Mounting, Part
from recap.parts.headings import HIGH_FROM_HZ
from recap.problem_codes import report
from recap.problems import Problem, RecapError
from recap.units import si

_N = r"\d+(?:[.,]\d+)?|[.,]\d+"
_HERTZ = r"(?:\s*(?:@|at|/)?\s*(?P<hz>\d+(?:[.,]\d+)?)\s*(?P<kilo>[kKM])?\s*[Hh]z)?"
_DEGREES = r"(?:°\s*C|℃|deg\.?\s*C|C)\b"
_SIGN = r"\s*[:=<≤]*\s*"
_LEAKAGE = re.compile(rf"(?P<number>{_N})\s*(?P<prefix>[uµμn])A\b")
_RIPPLE = re.compile(rf"(?:ripple|irms|iac)?{_SIGN}(?P<number>{_N})\s*(?P<prefix>m)?A(?:\s*r\.?m\.?s\.?)?\b{_HERTZ}")
_ESR = re.compile(
    rf"(?:\b(?:esr|impedance|z)\b{_SIGN})?(?P<number>{_N})\s*(?P<prefix>[mkµu])?\s*(?:ohms?\b|Ω|Ω){_HERTZ}", re.I
)
_LOSS = re.compile(rf"\b(?:tan\s*(?:δ|delta|d)|df|loss)\b{_SIGN}(?P<number>\d*[.,]?\d+)\s*(?P<prefix>%)?", re.I)
_LEAD = re.compile(
    r"\b(?:leads?|wires?)\s*(?:⌀|ø|dia\.?|d)?\s*(?P<number>[01][.,]\d+)\s*(?:mm)?|\bd\s*(?P<other>[01][.,]\d+)\b", re.I
)
_WEIGHT = re.compile(rf"(?P<number>{_N})(?P<prefix>)\s*g\b")
_HOURS_AT = re.compile(
    rf"(?P<number>\d[\d.,]*)\s*(?P<prefix>k)?\s*h(?:ou)?(?:rs?)?\s*(?:@|at|/)\s*(?P<at>\d{{2,3}})\s*{_DEGREES}", re.I
)
_RANGE = re.compile(
    rf"(?P<low>[-−]\s*\d\d)\s*(?:{_DEGREES})?\s*(?:\.\.+|…|to|/|~)\s*\+?\s*(?P<high>\d{{2,3}})\s*{_DEGREES}", re.I
)
_BASIS = re.compile(r"\b(?P<useful>useful[ -]life)\b|\b(?P<dc>dc[ -]only)\b", re.I)
_SCALES = {"k": 1e3, "m": 1e-3, "u": 1e-6, "µ": 1e-6, "μ": 1e-6, "n": 1e-9, "%": 1e-2, "": 1.0}
_WIDEST_RADIAL_PITCH_MM = 7.5  # can_sizes.csv: wider cans with 10 mm may be snap-in as well


class NotAPartError(RecapError):
    """A text does not describe a capacitor."""


def read_part(text: str) -> tuple[Part, tuple[Problem, ...]]:
    """Return the part that a text describes; raises NotAPartError where it tells no value and no rating.

    >>> part, _ = read_part("alu radial 1000u 16V 105C 10x20 P5 5000h 1.2A@100kHz 22mohm@100kHz")
    >>> part.capacitance_f, part.ripple_high_a, part.esr_high_ohm, part.kind
    (0.001, 1.2, 0.022, 'wet aluminium')
    """
    part, problems = read_part_text(text)
    if part.capacitance_f is None and part.rated_voltage_v is None and part.ac_voltage_v is None:
        refused = read_marking(text).refused
        reason = f" ({refused})" if refused else ""
        raise NotAPartError(
            f'"{text}" tells neither a capacitance nor a voltage{reason}; '
            'write it as "1000u 16V 105C 10x20 P5 5000h 1.2A@100kHz 22mohm@100kHz"'
        )
    return part, problems


@lru_cache(maxsize=65536)
def read_part_text(text: str) -> tuple[Part, tuple[Problem, ...]]:
    """Return what a text says of a part, which may be nothing."""
    rest, said = text, dict[str, Any]()
    problems: list[Problem] = []
    for pattern, take in _PIECES:
        while found := pattern.search(rest):
            take(found, said)
            rest = f"{rest[: found.start()]} {rest[found.end() :]}"
    marking = read_marking(" ".join(rest.split()))
    best = marking.best
    if best is not None:
        for name in ("capacitance_f", "diameter_mm", "length_mm", "lead_spacing_mm", "endurance_h"):
            if (value := getattr(best, name)) is not None:
                said.setdefault(name, value)
        if best.rated_voltage_v is not None:
            said["ac_voltage_v" if best.ac else "rated_voltage_v"] = best.rated_voltage_v
        if best.temperature_c is not None:
            said.setdefault("upper_category_temperature_c", best.temperature_c)
        if best.tolerance_pct is not None:
            said["tolerance"] = (best.tolerance_pct[0] / 100, best.tolerance_pct[1] / 100)
        if best.date is not None:
            said["date_code"] = best.date
        if best.certainty.value != "certain" and best.because:
            problems.append(report("likely-reading", f"read as it is likeliest: {best.because}", value=text))
    said["safety_class"] = marking.safety_class or ""
    if "endurance_at" in said:
        said["endurance_temperature_c"] = said.pop("endurance_at")
        said.setdefault("upper_category_temperature_c", said["endurance_temperature_c"])
    _kind_and_mounting(marking.kind, marking.mounting, said, text, problems)
    _esr_at_ripple_frequency(said, text, problems)
    return Part(text=text, **said), tuple(problems)


def _kind_and_mounting(
    kind: Kind | None, mounting: Mounting | None, said: dict[str, Any], text: str, problems: list[Problem]
) -> None:
    """Take kind and mounting as written, else where the other figures leave hardly a choice, and say so."""
    diameter, pitch = said.get("diameter_mm"), said.get("lead_spacing_mm")
    if mounting is not None:
        said["mounting"] = str(mounting)
    elif diameter is not None and pitch is not None and pitch <= min(diameter, _WIDEST_RADIAL_PITCH_MM):
        said["mounting"] = str(Mounting.RADIAL)
        problems.append(report("part-assumed", "mounting not said; a round can with this pitch is radial", value=text))
    if kind is not None:
        said["kind"] = str(kind)
        said["bipolar"] = True if kind is Kind.NON_POLAR_ALUMINIUM else said.get("bipolar")
    elif "endurance_h" in said and diameter is not None and "rated_voltage_v" in said and not said["safety_class"]:
        said["kind"] = str(Kind.WET_ALUMINIUM)
        message = "kind not said; a can with an endurance is likely wet aluminium"
        problems.append(report("part-assumed", message, value=text, hint="write polymer or hybrid if it is one"))


def _esr_at_ripple_frequency(said: dict[str, Any], text: str, problems: list[Problem]) -> None:
    """An ESR without a frequency stands beside the ripple that it was stated with."""
    if said.get("esr_low_ohm") is None or said.get("esr_low_hz") is not None:
        return
    hz = said.get("ripple_high_hz") or said.get("ripple_low_hz")
    if hz is None or (hz >= HIGH_FROM_HZ and "esr_high_ohm" in said):
        return
    if hz >= HIGH_FROM_HZ:
        said["esr_high_ohm"], said["esr_high_hz"] = said.pop("esr_low_ohm"), hz
    else:
        said["esr_low_hz"] = hz
    message = f"ESR without its frequency; taken at {si(hz, 'Hz')} like the ripple current"
    problems.append(
        report("part-assumed", message, value=text, hint=f"write it as 22mohm@{si(hz, 'Hz').replace(' ', '')}")
    )


def _amount(found: re.Match[str]) -> float:
    number = found["number"].replace(",", ".")
    return float(f"{float(number) * _SCALES[(found['prefix'] or '').lower()]:.12g}")


def _hertz(found: re.Match[str]) -> float | None:
    if not found["hz"]:
        return None
    return float(found["hz"].replace(",", ".")) * {"k": 1e3, "m": 1e6}.get((found["kilo"] or "").lower(), 1.0)


def _at_frequency(base: str, unit: str) -> Callable[[re.Match[str], dict[str, Any]], None]:
    def take(found: re.Match[str], said: dict[str, Any]) -> None:
        hz = _hertz(found)
        end = "high" if hz is not None and hz >= HIGH_FROM_HZ else "low"
        said.setdefault(f"{base}_{end}_{unit}", _amount(found))
        said.setdefault(f"{base}_{end}_hz", hz)

    return take


def _single(name: str) -> Callable[[re.Match[str], dict[str, Any]], None]:
    def take(found: re.Match[str], said: dict[str, Any]) -> None:
        said.setdefault(name, _amount(found))

    return take


def _lead(found: re.Match[str], said: dict[str, Any]) -> None:
    said.setdefault("lead_diameter_mm", float((found["number"] or found["other"]).replace(",", ".")))


def _hours_at(found: re.Match[str], said: dict[str, Any]) -> None:
    hours = float(re.sub(r"[.,](?=\d{3})", "", found["number"]).replace(",", "."))
    said.setdefault("endurance_h", hours * (1000.0 if found["prefix"] else 1.0))
    said.setdefault("endurance_at", float(found["at"]))


def _range(found: re.Match[str], said: dict[str, Any]) -> None:
    said.setdefault("lower_category_temperature_c", float(found["low"].replace("−", "-").replace(" ", "")))
    said.setdefault("upper_category_temperature_c", float(found["high"]))


def _basis(found: re.Match[str], said: dict[str, Any]) -> None:
    said["endurance_basis"] = "useful-life" if found["useful"] else "dc-only"


_PIECES: tuple[tuple[re.Pattern[str], Callable[[re.Match[str], dict[str, Any]], None]], ...] = (
    (_LEAKAGE, _single("leakage_a")),
    (_RIPPLE, _at_frequency("ripple", "a")),
    (_ESR, _at_frequency("esr", "ohm")),
    (_LOSS, _single("dissipation_factor")),
    (_LEAD, _lead),
    (_WEIGHT, _single("weight_g")),
    (_HOURS_AT, _hours_at),
    (_RANGE, _range),
    (_BASIS, _basis),
)
"""What the grammar of markings does not know, in the order in which it is taken out of the text."""
