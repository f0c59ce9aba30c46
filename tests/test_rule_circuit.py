"""Ripple from the circuit: a bank on one rail, its shares, a doubler, and what is named as missing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from recap.formulas.rectifier import rectified
from recap.formulas.ripple_sharing import shared_ripple
from recap.model import Body, Kind, Marked, Mounting, Position, PositionKey, Rail, Role, SupplyKind, Unit
from recap.rules.circuit import circuit_ripple, lacking
from recap.rules.rectifiers import rectifier, softest_emission_v, winding_regulation

UNIT = Unit("U", mains_voltage_v=230.0, mains_frequency_hz=50.0)
RAIL = Rail(
    "+RAW", nominal_v=10.0, supply=SupplyKind.BRIDGE, rectifier="silicon", secondary_v=9.0, full_load_a=1.0,
    source_resistance_ohm=0.3,
)  # fmt: skip


def reservoir(designator: str, value_f: float | None, volts: float | None = 25.0, **body: object) -> Position:
    return Position(
        PositionKey("U", "PSU", designator),
        marked=Marked(capacitance_f=value_f, rated_voltage_v=volts),
        body=Body(kind=Kind.WET_ALUMINIUM, mounting=Mounting.RADIAL, **body),  # type: ignore[arg-type]
        role=Role.RESERVOIR,
        rail="+RAW",
    )


def ripple(position: Position, *others: Position, rail: Rail = RAIL) -> float:
    found = circuit_ripple(UNIT, rail, position, (position, *others))
    assert found is not None
    return found.rms_a


def by_formula(capacitance_f: float, esr_ohm: float, topology: str = "bridge") -> float:
    """The whole bank's current from the formula, with the winding's rise and the diode of the table."""
    diode = rectifier("silicon")
    assert diode is not None
    state = rectified(
        topology, 9.0 * 1.08, 50.0, capacitance_f, load_current_a=1.0, source_resistance_ohm=0.3, esr_ohm=esr_ohm,
        diode_drop_v=0.85, diode_slope_ohm=diode.slope_ohm(1.0, 0.85), largest_emission_v=softest_emission_v(),
    )  # fmt: skip
    return float(state.ripple_current_a)


# tan δ of a 25 V part is 0.14, and 0.02 more for each 1000 µF above 1000 (Panasonic SU): 0.214 at 4700 µF.
ESR_4700 = 0.214 / (2 * np.pi * 120 * 4700e-6)


def test_one_reservoir_carries_what_the_formula_says() -> None:
    assert ripple(reservoir("C1", 4700e-6)) == pytest.approx(by_formula(4700e-6, ESR_4700), rel=2e-3)


def test_two_equal_reservoirs_share_in_halves() -> None:
    one, two = reservoir("C1", 4700e-6), reservoir("C2", 4700e-6)
    whole = by_formula(9400e-6, ESR_4700 / 2)
    assert ripple(one, two) == pytest.approx(whole / 2, rel=2e-3)
    assert ripple(two, one) == pytest.approx(ripple(one, two))


def test_the_larger_of_two_carries_more_and_the_shares_make_up_the_whole() -> None:
    large, small = reservoir("C1", 4700e-6), reservoir("C2", 1000e-6)
    shares = ripple(large, small), ripple(small, large)
    together = by_formula(5700e-6, 1 / (1 / ESR_4700 + 2 * np.pi * 120 * 1000e-6 / 0.14))
    assert shares[0] > 2 * shares[1]
    assert together <= sum(shares) * (1 + 1e-3), "phases differ, so the shares are no less than the whole"
    assert sum(shares) == pytest.approx(together, rel=0.02)


def test_unequal_parts_share_each_harmonic_by_their_impedance() -> None:
    """Worked on paper at 100 Hz: 1000 µF and 4700 µF, ESR 0.186 Ω and 0.0604 Ω by their tan δ at 120 Hz.

    Z = 0.1857 − j1.5915 Ω and 0.0604 − j0.3386 Ω; their sum is 0.2461 − j1.9301 Ω, of size 1.9457 Ω. The small one
    carries 0.3440/1.9457 = 0.1768 of the current, the large one 1.6023/1.9457 = 0.8235.
    """
    found = shared_ripple([1.0], [100.0], [1000e-6, 4700e-6], [0.14 / (2 * np.pi * 120 * 1000e-6), ESR_4700])
    assert found[:, 0] == pytest.approx([0.1768, 0.8235], abs=2e-4)
    # At 1 kHz, Z = 0.1857 − j0.15915 Ω and 0.0604 − j0.03386 Ω: 0.0692/0.3127 and 0.2446/0.3127 of the current.
    tenth = shared_ripple([1.0], [1000.0], [1000e-6, 4700e-6], [0.14 / (2 * np.pi * 120 * 1000e-6), ESR_4700])
    assert tenth[:, 0] == pytest.approx([0.2214, 0.7820], abs=3e-4)
    shares = (
        ripple(reservoir("C2", 1000e-6), reservoir("C1", 4700e-6)),
        ripple(reservoir("C1", 4700e-6), reservoir("C2", 1000e-6)),
    )
    assert 0.1768 < shares[0] / sum(shares) < 0.2214, "between its share of the first and of a high harmonic"


def test_the_equal_at_the_rating_is_no_more_than_the_current_since_higher_harmonics_count_less() -> None:
    found = circuit_ripple(UNIT, RAIL, reservoir("C1", 4700e-6), (reservoir("C1", 4700e-6),))
    assert found is not None
    assert found.frequency_hz == 100.0
    assert 0.7 * found.rms_a < found.equivalent_a < found.rms_a * 1.05


def test_each_capacitor_of_a_doubler_carries_its_own_current() -> None:
    rail = replace(RAIL, supply=SupplyKind.VOLTAGE_DOUBLER)
    one, two = reservoir("C1", 4700e-6), reservoir("C2", 4700e-6)
    assert ripple(one, two, rail=rail) == pytest.approx(ripple(two, one, rail=rail))
    assert ripple(one, two, rail=rail) > 1.5 * ripple(one, two), "it charges once a cycle and feeds the whole load"
    found = circuit_ripple(UNIT, rail, one, (one, two))
    assert found is not None
    assert found.frequency_hz == 50.0


def test_a_bank_member_without_a_value_hinders_the_whole_rail() -> None:
    known, unknown = reservoir("C1", 4700e-6), reservoir("C2", None)
    assert circuit_ripple(UNIT, RAIL, known, (known, unknown)) is None
    assert circuit_ripple(UNIT, RAIL, known, ()) is None


def test_a_load_beyond_the_winding_has_no_steady_state() -> None:
    rail = replace(RAIL, full_load_a=60.0)
    assert circuit_ripple(UNIT, rail, reservoir("C1", 4700e-6), (reservoir("C1", 4700e-6),)) is None


def test_missing_inputs_are_named() -> None:
    assert lacking(UNIT, RAIL) == ()
    assert lacking(UNIT, None) == ("rail",)
    bare = Rail("+RAW")
    assert lacking(replace(UNIT, mains_frequency_hz=None), bare) == (
        "supply kind of the rail (bridge, centre-tap, half-wave, voltage doubler)", "secondary volts", "full load",
        "source resistance", "mains frequency", "rectifier",
    )  # fmt: skip


def test_a_winding_rises_unloaded_and_the_mains_does_not() -> None:
    assert winding_regulation(UNIT, RAIL) == pytest.approx(0.08)
    assert winding_regulation(UNIT, replace(RAIL, secondary_v=240.0)) == 0.0
    assert winding_regulation(replace(UNIT, mains_voltage_v=None), replace(RAIL, secondary_v=240.0)) > 0
