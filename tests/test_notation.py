"""The grammar beyond the corpus: sibling spellings, columns, spreadsheet damage, properties."""

from __future__ import annotations

import datetime as dt
import math
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.intake.can_size import Fit, size_check, snap_size
from recap.intake.notation import Certainty, Reading, format_marking, read_cell, read_marking
from recap.model.vocabulary import Kind, Mounting

UF = 1e-6

CERTAIN: list[tuple[str, dict[str, Any]]] = [
    # value and volts
    ("470 MFD 16 VDC", {"capacitance_f": 470e-6, "rated_voltage_v": 16, "ac": False}),
    ("470 mfd. 16 WVDC", {"capacitance_f": 470e-6, "rated_voltage_v": 16, "ac": False}),
    ("16V/100µF", {"capacitance_f": 1e-4, "rated_voltage_v": 16}),
    ("100µF(16V)", {"capacitance_f": 1e-4, "rated_voltage_v": 16}),
    ("22u16V", {"capacitance_f": 22e-6, "rated_voltage_v": 16}),
    ("47u / 25 V", {"capacitance_f": 47e-6, "rated_voltage_v": 25}),
    ("2200/16", {"capacitance_f": 2.2e-3, "rated_voltage_v": 16}),
    ("4,7/63", {"capacitance_f": 4.7e-6, "rated_voltage_v": 63}),
    ("Elko 22/16V", {"capacitance_f": 22e-6, "rated_voltage_v": 16}),
    ("tant 10/16", {"capacitance_f": 1e-5, "rated_voltage_v": 16}),
    ("47 мкФ 16В", {"capacitance_f": 47e-6, "rated_voltage_v": 16}),
    ("1000 мкФ х 25 В", {"capacitance_f": 1e-3, "rated_voltage_v": 25}),
    ("４７µF　２５V", {"capacitance_f": 47e-6, "rated_voltage_v": 25}),
    ("47㎌ 25V", {"capacitance_f": 47e-6, "rated_voltage_v": 25}),
    ("4·7 µF 63V", {"capacitance_f": 4.7e-6, "rated_voltage_v": 63}),
    ("10uF/50/105", {"capacitance_f": 1e-5, "rated_voltage_v": 50, "temperature_c": 105}),
    ("C5: 47uF/16V", {"capacitance_f": 47e-6, "rated_voltage_v": 16, "designators": ("C5",), "quantity": 1}),
    ("10x 100uF 16V", {"capacitance_f": 1e-4, "rated_voltage_v": 16, "quantity": 10}),
    ("100uF 16V x4", {"capacitance_f": 1e-4, "rated_voltage_v": 16, "quantity": 4}),
    # prefixes as decimal points, spelled-out and odd units
    ("4u7", {"capacitance_f": 4.7e-6}),
    ("4U7", {"capacitance_f": 4.7e-6}),
    ("n47", {"capacitance_f": 4.7e-10}),
    ("6V3", {"rated_voltage_v": 6.3}),
    ("25 mics", {"capacitance_f": 25e-6}),
    ("250 µµF", {"capacitance_f": 2.5e-10}),
    ("1F 5.5V", {"capacitance_f": 1.0, "rated_voltage_v": 5.5}),
    ("47e-6 F", {"capacitance_f": 47e-6}),
    ("10'000 µF", {"capacitance_f": 0.01}),
    ("4 700uF", {"capacitance_f": 4.7e-3}),
    # volts
    ("350V DC wkg", {"rated_voltage_v": 350, "ac": False}),
    ("63V⎓", {"rated_voltage_v": 63, "ac": False}),
    ("≥ 25V", {"rated_voltage_v": 25}),
    ("450V/525V surge", {"rated_voltage_v": 450}),
    ("1 kV", {"rated_voltage_v": 1000}),
    ("~275V", {"rated_voltage_v": 275, "ac": True}),
    ("370VAC 60Hz", {"rated_voltage_v": 370, "ac": True}),
    ("µ47K275~", {"capacitance_f": 4.7e-7, "rated_voltage_v": 275, "ac": True, "tolerance_pct": (-10, 10)}),
    ("Y2 4n7 250V", {"capacitance_f": 4.7e-9, "rated_voltage_v": 250, "ac": True}),
    # sections and repeats
    ("40-20-20 mfd 450V", {"sections_f": (40e-6, 20e-6, 20e-6), "rated_voltage_v": 450}),
    ("50+50/350", {"sections_f": (50e-6, 50e-6), "rated_voltage_v": 350}),
    ("50uF+50uF 300V", {"sections_f": (50e-6, 50e-6), "rated_voltage_v": 300}),
    ("0.1µF (104)", {"capacitance_f": 1e-7}),
    # codes
    ("1C476M", {"capacitance_f": 47e-6, "rated_voltage_v": 16, "tolerance_pct": (-20, 20)}),
    ("2A104J", {"capacitance_f": 1e-7, "rated_voltage_v": 100, "tolerance_pct": (-5, 5)}),
    ("475K 25V", {"capacitance_f": 4.7e-6, "rated_voltage_v": 25, "tolerance_pct": (-10, 10)}),
    ("104J 100V", {"capacitance_f": 1e-7, "rated_voltage_v": 100, "tolerance_pct": (-5, 5)}),
    # temperature, endurance, tolerance
    ("40/085/56", {"temperature_c": 85}),
    ("185°F", {"temperature_c": 85}),
    ("-55..+125", {"temperature_c": 125}),
    ("10000 hours @ 105C", {"endurance_h": 10_000, "temperature_c": 105}),
    ("+50 -10 %", {"tolerance_pct": (-10, 50)}),
    ("0/+100%", {"tolerance_pct": (0, 100)}),
    # sizes
    ("1 3/8\" x 3\"", {"diameter_mm": 34.925, "length_mm": 76.2}),
    ("D10×L20mm", {"diameter_mm": 10, "length_mm": 20}),
    ("8x11.5x3.5", {"diameter_mm": 8, "length_mm": 11.5, "lead_spacing_mm": 3.5}),
    ("10x7.7", {"diameter_mm": 10, "length_mm": 7.7}),
    ("0.1\" spacing", {"lead_spacing_mm": 2.54}),
    # designators, counts, dates
    ("C17,18,19", {"designators": ("C17", "C18", "C19"), "quantity": 3}),
    ("C1, C2, C5-C8", {"designators": ("C1", "C2", "C5", "C6", "C7", "C8"), "quantity": 6}),
    ("C5, 0,1µF", {"designators": ("C5",), "quantity": 1, "capacitance_f": 1e-7}),
    ("DNP", {"quantity": 0}),
    ("nicht bestückt", {"quantity": 0}),
    ("12 Stk", {"quantity": 12}),
    ("D/C 9723", {"date": "1997-W23"}),
    (
        "Abc 1000uF 16V ±20% 105°C 2000h 10x20mm LS5.0 9723",
        {
            "capacitance_f": 1e-3, "rated_voltage_v": 16, "tolerance_pct": (-20, 20), "temperature_c": 105,
            "endurance_h": 2000, "diameter_mm": 10, "length_mm": 20, "lead_spacing_mm": 5, "date": "1997-W23",
        },
    ),
]  # fmt: skip


@pytest.mark.parametrize(("text", "facts"), CERTAIN, ids=[text for text, _ in CERTAIN])
def test_clear_spellings(text: str, facts: dict[str, Any]) -> None:
    marking = read_marking(text)
    assert marking.certain, marking
    assert marking.best is not None
    said = marking.best.facts
    assert set(said) == set(facts)
    for name, value in facts.items():
        assert said[name] == (pytest.approx(value, rel=1e-9) if isinstance(value, (int, float)) else value)


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("10/16", {"capacitance_f": 1e-5, "rated_voltage_v": 16.0}),
        ("22mF", {"capacitance_f": 0.022}),
        ("4R7", {"capacitance_f": 4.7e-6}),
        ("47 �F", {"capacitance_f": 4.7e-5}),
        ("1OOuF", {"capacitance_f": 1e-4}),
        ("2x50µF 350V", {"sections_f": (5e-5, 5e-5), "rated_voltage_v": 350.0}),
        ("8-16 mfd 450 V", {"rated_voltage_v": 450.0}),
        ("33-47 uF", {}),
        ("16µF 450V, 32µF 350V", {"capacitance_f": 1.6e-5}),
        ("2 220uF", {"capacitance_f": 2.22e-3}),
        ("25x10", {"diameter_mm": 10.0, "length_mm": 25.0}),
        ("10/86", {"date": "1986-10"}),
        ("6-Mar", {"rated_voltage_v": 6.3}),
        ("4-Jul", {"capacitance_f": 4.7e-6}),
        ("107V", {"capacitance_f": 1e-4, "rated_voltage_v": 35.0}),
        ("- 22 µF", {"capacitance_f": 2.2e-5}),
        ("C3 x2", {"designators": ("C3",), "quantity": 2}),
        ("+20%", {"tolerance_pct": (-20.0, 20.0)}),
        ("1,000 V", {"rated_voltage_v": 1000.0}),
    ],
)
def test_doubtful_spellings_give_their_likeliest_reading_first(text: str, first: dict[str, Any]) -> None:
    marking = read_marking(text)
    assert marking.best is not None
    assert marking.best.facts == pytest.approx(first) if not any(map(_long, first.values())) else first
    assert all(reading.certainty is not Certainty.CERTAIN for reading in marking.readings)


def _long(value: object) -> bool:
    return isinstance(value, tuple)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("2k2", "2k2 is a resistance"),
        ("100uH", "100uH is an inductance"),
        ("R12", "R12 is the designator of another kind of part"),
        ("1B3", "1B3 is a lot or type mark; it must not be taken for a voltage code"),
        ("mfd V", "a unit without a number"),
        ("-22µF", "-22uF is negative, and its sign must not be dropped"),
        ("0.0uF", "0.0uF is no rating"),
        ("illegible", "no number in it"),
        ("", "empty"),
    ],
)
def test_refusals_say_why(text: str, reason: str) -> None:
    marking = read_marking(text)
    assert (marking.readings, marking.refused) == ((), reason)


@pytest.mark.parametrize(
    ("text", "expect", "unit", "name", "value"),
    [
        ("6.3", "voltage", "", "rated_voltage_v", 6.3),
        ("6,3", "voltage", "V", "rated_voltage_v", 6.3),
        ("1C", "voltage", "", "rated_voltage_v", 16.0),
        ("100", "capacitance", "µF", "capacitance_f", 1e-4),
        ("22", "capacitance", "nF", "capacitance_f", 2.2e-8),
        ("105", "temperature", "", "temperature_c", 105.0),
        ("-105", "temperature", "", "temperature_c", 105.0),
        ("12,5", "diameter", "", "diameter_mm", 12.5),
        ("0.5", "length", "in", "length_mm", 12.7),
        ("200", "lead_spacing", "mil", "lead_spacing_mm", 5.08),
        ("20", "tolerance", "", "tolerance_pct", (-20.0, 20.0)),
        ("0.2", "tolerance", "", "tolerance_pct", (-20.0, 20.0)),
        ("M", "tolerance", "", "tolerance_pct", (-20.0, 20.0)),
        ("8610", "date", "", "date", "1986-W10"),
        ("3", "quantity", "", "quantity", 3),
        ("2.000", "endurance", "", "endurance_h", 2000.0),
        ("C1-C4", "designators", "", "quantity", 4),
        ("10/16", "capacitance", "µF", "rated_voltage_v", 16.0),
    ],
)
def test_a_heading_settles_bare_numbers(text: str, expect: str, unit: str, name: str, value: object) -> None:
    marking = read_marking(text, expect, unit)
    assert marking.certain, marking
    assert getattr(marking.best, name) == value


@pytest.mark.parametrize(
    ("text", "expect"),
    [("22mF", "capacitance"), ("100", "capacitance"), ("22,000", "capacitance"), ("40", "designators")],
)
def test_a_heading_does_not_settle_everything(text: str, expect: str) -> None:
    assert not read_marking(text, expect).certain


def test_an_unknown_heading_is_an_error() -> None:
    with pytest.raises(ValueError, match="expect must be one of"):
        read_marking("10", expect="colour")


@pytest.mark.parametrize(
    ("cell", "expect", "facts"),
    [
        (dt.datetime(2024, 10, 16), "capacitance", {"capacitance_f": 1e-5, "rated_voltage_v": 16.0}),
        (dt.date(1963, 10, 1), "capacitance", {"capacitance_f": 1e-5, "rated_voltage_v": 63.0}),
        (dt.date(2024, 3, 6), "voltage", {"rated_voltage_v": 6.3}),
        (dt.date(2024, 7, 4), "capacitance", {"capacitance_f": 4.7e-6}),
    ],
)
def test_a_date_cell_is_recovered_and_flagged(cell: dt.date, expect: str, facts: dict[str, float]) -> None:
    marking = read_cell(cell, expect)
    assert marking.best is not None
    assert marking.best.facts == pytest.approx(facts)
    assert marking.best.certainty is Certainty.LIKELY
    assert "a spreadsheet took the value for a date" in marking.best.because
    assert "spreadsheet damage" in marking.notation


def test_typed_numbers_read_as_their_text() -> None:
    assert read_cell(6.3, "voltage").best == read_marking("6.3", "voltage").best
    assert read_cell(100, "capacitance", "µF").certain
    assert read_cell(float("nan"), "voltage").refused == "not a number"
    assert read_cell(None, "voltage").refused == "empty"


@pytest.mark.parametrize(
    ("text", "kind", "mounting", "safety"),
    [
        ("10uF NP 25V axial", Kind.NON_POLAR_ALUMINIUM, Mounting.AXIAL, None),
        ("bi-polar 10uF", Kind.NON_POLAR_ALUMINIUM, None, None),
        ("10µF 16V tant", Kind.SOLID_TANTALUM, None, None),
        ("0.1µF/275VAC X2 MKP", Kind.FILM, None, "X2"),
        ("MPX 0.1uF 250VAC", Kind.METALLISED_PAPER, None, None),
        ("100n X7R 50V", Kind.CERAMIC, None, None),
        ("4700uF 63V snap-in", None, Mounting.SNAP_IN, None),
    ],
)
def test_words_beside_the_numbers(text: str, kind: Kind | None, mounting: Mounting | None, safety: str | None) -> None:
    marking = read_marking(text)
    assert (marking.kind, marking.mounting, marking.safety_class) == (kind, mounting, safety)
    assert marking.certain


def test_the_can_breaks_a_tie() -> None:
    small, large = read_marking("22mF 16V 8x11.5mm"), read_marking("22mF 63V 50x80mm")
    assert small.best is not None
    assert large.best is not None
    assert (small.best.capacitance_f, large.best.capacitance_f) == (2.2e-5, 0.022)
    assert "only this value suits the can's volume" in small.best.because


def test_notation_and_confusion_are_named() -> None:
    marking = read_marking("336K 20V")
    assert marking.notation == ("three-digit code and letter", "volts with unit")
    assert "volts first" in read_marking("10/50").confused_with


@pytest.mark.parametrize(
    ("diameter", "spacing", "nominal"),
    [
        (8.3, 3.2, (8.0, 3.5)),
        (8.5, None, (8.0, None)),
        (8.6, 3.5, (8.6, 3.5)),
        (7.9, 3.5, (7.9, 3.5)),
        (5.2, 2.1, (5.0, 2.0)),
        (6.4, 2.5, (6.3, 2.5)),
        (10.0, 5.0, (10.0, 5.0)),
        (None, 7.2, (None, 7.5)),
        (22.4, 9.8, (22.0, 10.0)),
    ],
)
def test_measured_sizes_snap(
    diameter: float | None, spacing: float | None, nominal: tuple[float | None, float | None]
) -> None:
    snapped = snap_size(diameter, spacing)
    assert (snapped.diameter_mm, snapped.lead_spacing_mm) == nominal
    assert snapped.changed == ((diameter, spacing) != nominal)


@pytest.mark.parametrize(
    ("capacitance_f", "volts", "diameter", "length", "fit", "suspicion"),
    [
        (24_000e-6, 80, 76, 140, Fit.PLAUSIBLE, None),
        (24e-6, 80, 76, 140, Fit.TOO_SPARSE, "the prefix is wrong: 24,000 µF would suit"),
        (22e-3, 16, 8, 11.5, Fit.TOO_DENSE, "the prefix is wrong: 22 µF would suit"),
        (1e-6, 50, 5, 11, Fit.PLAUSIBLE, None),
        (16e-6, 470, 25, 50, Fit.PLAUSIBLE, "capacitance and volts are swapped: 470 µF 16 V is usual"),
        (4700e-6, 63, 3.5, 5, Fit.TOO_DENSE, "the size is in cm"),
    ],
)
def test_the_volume_of_a_can_tells(
    capacitance_f: float, volts: float, diameter: float, length: float, fit: Fit, suspicion: str | None
) -> None:
    verdict = size_check(capacitance_f, volts, diameter, length)
    assert verdict.fit is fit
    assert suspicion in verdict.suspicions if suspicion else not verdict.suspicions


TEXTS = st.one_of(
    st.text(max_size=40),
    st.text(alphabet="0123456789 ./,+-x×µuFVnpKMJCØ°h%@()~=ABDERX", max_size=24),
    st.lists(st.sampled_from([text for text, _ in CERTAIN]), min_size=1, max_size=3).map(" ".join),
)


@settings(max_examples=600, deadline=None)
@given(TEXTS, st.sampled_from([None, "capacitance", "voltage", "size", "date", "designators", "tolerance"]))
def test_any_text_is_read_or_refused(text: str, expect: str | None) -> None:
    marking = read_marking(text, expect)
    assert bool(marking.readings) != bool(marking.refused)
    assert len(marking.readings) <= 3
    certain = [reading for reading in marking.readings if reading.certainty is Certainty.CERTAIN]
    assert not certain or len(marking.readings) == 1
    for reading in marking.readings:
        assert reading.because
        for value in reading.facts.values():
            for number in value if isinstance(value, tuple) else (value,):
                assert not isinstance(number, float) or math.isfinite(number)
        assert reading.capacitance_f is None or reading.capacitance_f > 0
        assert reading.rated_voltage_v is None or reading.rated_voltage_v > 0


def _figures(least: int, most: int, shift: int) -> st.SearchStrategy[float]:
    return st.integers(least, most).map(lambda n: float(f"{n}e{shift}"))


READINGS = st.builds(
    Reading,
    capacitance_f=st.none() | _figures(1, 999_999, -12) | _figures(1, 99_999, -6) | _figures(1, 99_999, -9),
    rated_voltage_v=st.none() | _figures(1, 9999, -1).filter(lambda v: v >= 2),
    ac=st.sampled_from([None, True, False]),
    tolerance_pct=st.none() | st.tuples(_figures(0, 500, -1).map(lambda v: -v), _figures(1, 1000, -1)),
    diameter_mm=st.none() | _figures(20, 999, -1),
    length_mm=st.none() | _figures(20, 3999, -1),
    lead_spacing_mm=st.none() | _figures(10, 350, -1),
    temperature_c=st.none() | st.sampled_from([70.0, 85.0, 105.0, 125.0]),
    endurance_h=st.none() | _figures(250, 20_000, 0),
    quantity=st.none() | st.integers(0, 500),
)


@settings(max_examples=300, deadline=None)
@given(READINGS.filter(lambda reading: bool(reading.facts)))
def test_what_is_written_reads_back_the_same(reading: Reading) -> None:
    marking = read_marking(format_marking(reading))
    assert marking.best is not None
    assert marking.best.facts == {**reading.facts}
    assert marking.certain


@settings(max_examples=60, deadline=None)
@given(st.lists(_figures(1, 9999, -7), min_size=2, max_size=4), _figures(4, 600, 0))
def test_sections_read_back_the_same(values: list[float], volts: float) -> None:
    reading = Reading(sections_f=tuple(values), rated_voltage_v=volts)
    marking = read_marking(format_marking(reading))
    assert marking.best is not None
    assert marking.best.facts == reading.facts


def test_reading_a_marking_stays_quick_to_start() -> None:
    program = (
        "import sys; from recap.calculators.marking import marking; marking(['4u7']);"
        "print([name for name in ('numpy', 'pint', 'pandas', 'scipy', 'openpyxl') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
