"""The ESR ceiling of a value and rating, and what a reading says, at its own frequency."""

from __future__ import annotations

from dataclasses import dataclass

from recap.bench.constants import constant
from recap.calculators.answer import Answer
from recap.calculators.inputs import above_zero, capacitance_f
from recap.formulas.esr import cold_impedance_ohm, impedance_ohm
from recap.problems import Problem
from recap.ruledata import table
from recap.rules.new_parts import esr_ceiling
from recap.units import farads, plain, si, volts

REFERENCE_SERIES = "panasonic-su"
TABLE_HZ = 120.0
LOW_BAND_HZ = (100.0, 120.0)  # data sheets print tan δ at the one or the other
PRACTICE_HZ = 100e3  # where common practice says how good parts read
CAUTIONS = (
    "Discharge the capacitor and measure that it is discharged before a meter touches it.",
    "The ceiling is the largest ESR that a general-purpose part may have when new at 20 °C; low-impedance parts lie "
    "far below it. Parts in parallel on the board make a bad one read good.",
    "A good ESR says nothing of leakage or of the capacitance.",
)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a reading says: good, doubtful, bad or cannot-compare, always with the instrument's frequency."""

    word: str
    at: str
    because: str

    def __str__(self) -> str:
        return f"{self.word} {self.at}"


def esr(capacitance: str, rated_voltage: str, frequency: str | None = None, reading: str | None = None) -> Answer:
    """Return the ESR ceiling at 100 or 120 Hz and the verdict on a reading at its own frequency.

    Data sheets give no ceiling at other frequencies; there `ceiling_ohm` is null.
    """
    value_f = capacitance_f(capacitance)
    rated_v = above_zero(rated_voltage, "volt", "rated voltage")
    frequency_hz = above_zero(frequency, "hertz", "frequency") if frequency is not None else None
    reading_ohm = above_zero(reading, "ohm", "reading") if reading is not None else None
    in_band = frequency_hz is None or LOW_BAND_HZ[0] <= frequency_hz <= LOW_BAND_HZ[1]
    low_hz = frequency_hz if frequency_hz is not None and in_band else TABLE_HZ
    ceiling = esr_ceiling(REFERENCE_SERIES, value_f, rated_v, low_hz)
    cold = _cold(value_f, rated_v, ceiling, low_hz)
    spread = _spread(value_f, rated_v, low_hz)
    verdict = _verdict(reading_ohm, frequency_hz, ceiling, low_hz) if reading_ohm is not None else None
    result = {
        "ceiling_ohm": ceiling if in_band else None,
        "frequency_hz": low_hz if in_band else frequency_hz,
        "verdict": str(verdict) if verdict else None,
        "because": verdict.because if verdict else None,
        "low_frequency_ceiling_ohm": ceiling,
        "low_frequency_range_ohm": spread,
        "low_frequency_hz": low_hz,
        "reading_ohm": reading_ohm,
        "cold": cold,
    }
    lines = [
        f"{farads(value_f)} {volts(rated_v)}: tan δ/(2π·f·C) = {si(ceiling, 'Ω')} at most at {si(low_hz, 'Hz')}; "
        f"other radial series {si(spread[0], 'Ω')} to {si(spread[1], 'Ω')}."
    ]
    if not in_band and frequency_hz is not None:
        lines.append(
            f"No data sheet gives a ceiling from tan δ at {si(frequency_hz, 'Hz')}; good parts read about a third "
            f"of the {si(low_hz, 'Hz')} ceiling, {si(_high_frequency_guide(ceiling), 'Ω')}, at 100 kHz "
            "(common practice, a guide only)."
        )
    if verdict and reading_ohm is not None:
        lines.append(f"Reading {si(reading_ohm, 'Ω')}: {verdict}; {verdict.because}.")
    lines += [
        f"At {plain(each['temperature_c'])} °C the impedance may be {plain(each['impedance_ratio'])} times "
        f"that at 20 °C: up to {si(each['impedance_ohm'], 'Ω')} at {si(low_hz, 'Hz')}."
        for each in cold
    ]
    sources = (REFERENCE_SERIES, "cornell-dubilier-guide", "common-practice")
    return Answer(result, tuple(lines), sources, CAUTIONS, _problems(rated_v))


def _high_frequency_guide(ceiling_ohm: float) -> float:
    return ceiling_ohm * constant("esr_high_frequency_fraction")


def _verdict(reading_ohm: float, frequency_hz: float | None, ceiling_ohm: float, low_hz: float) -> Verdict:
    ceiling = f"the {si(low_hz, 'Hz')} ceiling of {si(ceiling_ohm, 'Ω')}"
    if frequency_hz is None:
        return _without_frequency(reading_ohm, ceiling_ohm, ceiling)
    at = f"at {si(frequency_hz, 'Hz')}"
    worn = constant("esr_doubtful_factor")
    if LOW_BAND_HZ[0] <= frequency_hz <= LOW_BAND_HZ[1]:
        if reading_ohm <= ceiling_ohm:
            return Verdict("good", at, f"within {ceiling}")
        word = "doubtful" if reading_ohm <= worn * ceiling_ohm else "bad"
        return Verdict(word, at, f"{plain(reading_ohm / ceiling_ohm)} times {ceiling}")
    if frequency_hz < LOW_BAND_HZ[0]:
        return Verdict("cannot-compare", at, "ESR rises towards low frequency, beyond what data sheets limit")
    if reading_ohm > ceiling_ohm:
        return Verdict("bad", at, f"above even {ceiling}, and ESR only falls with frequency")
    if frequency_hz < PRACTICE_HZ:
        return Verdict("cannot-compare", at, f"below {ceiling}, as a worn part may be at this frequency")
    guide = _high_frequency_guide(ceiling_ohm)
    if reading_ohm > worn * guide:
        return Verdict("doubtful", at, f"more than twice the guide of {si(guide, 'Ω')} (common practice)")
    return Verdict(
        "cannot-compare",
        at,
        f"near the guide of {si(guide, 'Ω')} (common practice), but no published ceiling; "
        "compare with a new part of the same size on the same instrument",
    )


def _without_frequency(reading_ohm: float, ceiling_ohm: float, ceiling: str) -> Verdict:
    if reading_ohm > constant("esr_doubtful_factor") * ceiling_ohm:
        return Verdict("bad", "at 120 Hz and above", f"{plain(reading_ohm / ceiling_ohm)} times {ceiling}")
    if reading_ohm > ceiling_ohm:
        return Verdict("doubtful", "at 120 Hz, bad above", f"{plain(reading_ohm / ceiling_ohm)} times {ceiling}")
    return Verdict(
        "cannot-compare",
        "without the instrument's frequency",
        f"within {ceiling}, which is good at 120 Hz and says little at 100 kHz; add --frequency",
    )


def _spread(value_f: float, rated_v: float, frequency_hz: float) -> list[float]:
    """Return the lowest and highest ceiling over the radial data sheets."""
    radial = {row["series"] for row in table("tan_delta") if row["style"] == "radial"}
    ceilings = [esr_ceiling(series, value_f, rated_v, frequency_hz) for series in radial]
    return [min(ceilings), max(ceilings)]


def _cold(value_f: float, rated_v: float, ceiling_ohm: float, frequency_hz: float) -> list[dict[str, float]]:
    """Return the data sheet's impedance ratios for the rating, where it prints that very rating."""
    warm = impedance_ohm(ceiling_ohm, value_f, frequency_hz)
    return [
        {
            "temperature_c": float(row["temperature_c"]),
            "impedance_ratio": float(row["impedance_ratio"]),
            "impedance_ohm": float(cold_impedance_ohm(warm, float(row["impedance_ratio"]))),
        }
        for row in table("impedance_ratios")
        if row["series"] == REFERENCE_SERIES and float(row["rated_voltage_v"]) == rated_v
    ]


def _problems(rated_v: float) -> tuple[Problem, ...]:
    ratings = [float(row["rated_voltage_v"]) for row in table("tan_delta") if row["series"] == REFERENCE_SERIES]
    if min(ratings) <= rated_v <= max(ratings):
        return ()
    message = f"{volts(rated_v)} lies outside the data sheet; its nearest rating was taken"
    return (Problem("outside-range", message),)
