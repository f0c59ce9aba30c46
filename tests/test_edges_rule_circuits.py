"""Rectifiers, doublers, polarity in words and the air near a part: laws and tables over their whole vocabulary."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rule_cases import Cells, case

from recap.formulas.rectifier import rectified
from recap.model import (
    SWITCHING_SUPPLIES,
    Basis,
    Body,
    Kind,
    Marked,
    Mounting,
    PlusAt,
    Position,
    PositionKey,
    Rail,
    Role,
    SupplyKind,
    Unit,
)
from recap.rules import RULES, new_parts
from recap.rules.circuit import CircuitRipple, circuit_ripple
from recap.rules.polarity import orient, silkscreen_plus, stripe_note
from recap.rules.rectifiers import rectifier, softest_emission_v, winding_regulation

WET = {"kind": "wet aluminium"}
UNIT = Unit("U", mains_voltage_v=230.0, mains_frequency_hz=50.0)
RAIL = Rail(
    "+RAW", nominal_v=10.0, supply=SupplyKind.BRIDGE, rectifier="silicon", secondary_v=9.0, full_load_a=1.0,
    source_resistance_ohm=0.3,
)  # fmt: skip


# Rectifiers


def test_a_valve_follows_the_three_halves_law() -> None:
    """i ~ v^1.5: an eighth of the current drops a quarter; the chord to three times the current is its slope."""
    valve = rectifier(" 5u4 ")
    assert valve is not None
    assert (valve.drop_v(0.225), valve.drop_v(0.225 / 8)) == (pytest.approx(44.0), pytest.approx(11.0))
    for load in (0.05, 0.2):
        drop = valve.drop_v(load)
        there = drop + valve.slope_ohm(load, drop) * 2 * load
        assert there == pytest.approx(valve.drop_v(3 * load), rel=0.005)


def test_a_junction_drops_the_same_and_its_slope_falls_with_the_current() -> None:
    """kT/q is 25.852 mV at 300 K."""
    silicon, germanium = rectifier("Silicon"), rectifier("germanium")
    assert silicon is not None
    assert germanium is not None
    assert (silicon.drop_v(0.1), silicon.drop_v(5.0)) == (0.85, 0.85)
    assert silicon.slope_ohm(2.0, 0.85) == pytest.approx(1.7 * 0.025852 / 2, rel=1e-4)
    assert germanium.slope_ohm(1.0, 0.4) == pytest.approx(1.5 * 0.025852, rel=1e-4)


def test_selenium_plates_have_a_slope_by_their_drop() -> None:
    stack = rectifier("selenium")
    assert stack is not None
    assert (stack.drop_v(0.1), stack.slope_ohm(0.1, 6.0)) == (6.0, pytest.approx(0.4 * 6 / 0.1))
    assert rectifier("no such type") is None


@pytest.mark.parametrize(
    ("secondary", "rise"), [(206.0, 0.08), (208.0, 0.0), (230.0, 0.0), (252.0, 0.0), (254.0, 0.08)]
)
def test_a_secondary_near_the_mains_is_the_mains(secondary: float, rise: float) -> None:
    assert winding_regulation(UNIT, replace(RAIL, secondary_v=secondary)) == pytest.approx(rise)


# Ripple from the circuit


def reservoir(designator: str, value_f: float = 4700e-6, kind: Kind = Kind.WET_ALUMINIUM) -> Position:
    return Position(
        PositionKey("U", "PSU", designator),
        marked=Marked(capacitance_f=value_f, rated_voltage_v=25.0),
        body=Body(kind=kind, mounting=Mounting.RADIAL),
        role=Role.RESERVOIR,
        rail="+RAW",
    )


def found(rail: Rail, *bank: Position) -> CircuitRipple:
    result = circuit_ripple(UNIT, rail, bank[0], bank)
    assert result is not None
    return result


def in_doubler(capacitance_f: float, esr_ohm: float) -> float:
    diode = rectifier("silicon")
    assert diode is not None
    state = rectified(
        "doubler", 9.0 * 1.08, 50.0, capacitance_f, load_current_a=1.0, source_resistance_ohm=0.3, esr_ohm=esr_ohm,
        diode_drop_v=0.85, diode_slope_ohm=diode.slope_ohm(1.0, 0.85), largest_emission_v=softest_emission_v(),
    )  # fmt: skip
    return float(state.ripple_current_a)


def test_a_doubler_is_worked_out_with_each_of_its_two_capacitors() -> None:
    rail = replace(RAIL, supply=SupplyKind.VOLTAGE_DOUBLER)
    esr = new_parts.esr_ceiling("panasonic-su", 4700e-6, 25.0)
    pair = found(rail, reservoir("C1"), reservoir("C2"))
    assert pair.rms_a == pytest.approx(in_doubler(4700e-6, esr), rel=2e-3)
    assert [each.value for each in pair.inputs if each.name == "reservoir"] == ["4,700 µF in 2 parts"]
    alone = found(rail, reservoir("C1"))
    assert alone.rms_a == pytest.approx(pair.rms_a, rel=2e-3)
    assert [each.value for each in alone.inputs if each.name == "reservoir"] == ["4,700 µF"]


def test_inputs_say_what_the_circuit_was_worked_out_from() -> None:
    shown = {each.name: each.value for each in found(RAIL, reservoir("C1"), reservoir("C2", 1000e-6)).inputs}
    assert shown == {
        "rail +RAW": "bridge, silicon",
        "secondary": "9 V rms loaded",
        "rise of the unloaded winding": "8 %",
        "full load": "1 A",
        "source resistance": "300 mΩ",
        "mains": "50 Hz",
        "reservoir": "5,700 µF in 2 parts",
    }


def test_a_part_of_its_own_family_has_its_own_multipliers() -> None:
    sources = {
        kind: found(RAIL, reservoir("C1", kind=kind)).multipliers_source for kind in (Kind.WET_ALUMINIUM, Kind.HYBRID)
    }
    polymer = found(RAIL, reservoir("C1", kind=Kind.SOLID_POLYMER)).multipliers_source
    assert sources[Kind.WET_ALUMINIUM] == sources[Kind.HYBRID] != polymer


# Polarity in words


@pytest.mark.parametrize(
    ("kinds", "says"),
    [
        (("solid polymer", "solid tantalum"), "stripe marks PLUS"),
        (("wet aluminium", "hybrid"), "stripe marks MINUS"),
        (("wet aluminium", "film"), "stripe marks MINUS"),
        (("film", "solid tantalum"), "stripe marks PLUS"),
        (("wet aluminium", "solid polymer"), "Stripes differ"),
        (("film",), "Stripes differ"),
    ],
)
def test_a_stripe_means_what_all_kinds_offered_agree_on(kinds: tuple[str, ...], says: str) -> None:
    assert says in stripe_note(kinds)


@pytest.mark.parametrize(
    ("mark", "meaning", "plus"),
    [
        ("mark at A", "plus", PlusAt.A),
        ("mark at A", "minus", PlusAt.OTHER),
        ("mark at A", "not verified", None),
        ("mark at other", "plus", PlusAt.OTHER),
        ("mark at other", "minus", PlusAt.A),
        ("mark at other", "not verified", None),
        ("plus at A", "not verified", PlusAt.A),
        ("plus at other", "minus", PlusAt.OTHER),
    ],
)
def test_a_bare_mark_is_a_witness_only_by_the_boards_convention(mark: str, meaning: str, plus: PlusAt | None) -> None:
    shown = {
        "mark at A": PlusAt.MARK_A,
        "mark at other": PlusAt.MARK_OTHER,
        "plus at A": PlusAt.A,
        "plus at other": PlusAt.OTHER,
    }
    of = case({"position": {**WET, "silkscreen": shown[mark]}, "board": {"mark means": meaning}})
    assert silkscreen_plus(of) is plus


def test_a_negative_rail_says_where_plus_goes() -> None:
    row = {**WET, "pad A": "nearer U1", "net": PlusAt.RAIL_A, "net by": "schematic", "role": "reservoir"}
    ground = orient(case({"position": row, "rail": {"volts": "-12 V"}})).text
    named = orient(case({"position": row, "rail": {"volts": "-12 V", "other side": "the chassis"}})).text
    away = "Plus to the pad away from the one nearer U1: rail +V is negative, so plus goes to ground"
    assert ground == f"{away} (net from the schematic)."
    assert named is not None
    assert "so plus goes to the chassis" in named
    beside = orient(case({"position": {**row, "role": "coupling"}, "rail": {"volts": "-12 V"}})).text
    assert beside is not None
    assert "negative" not in beside


# Surroundings


@pytest.mark.parametrize(
    ("unit", "board", "value", "basis"),
    [
        ({"room": "30 °C"}, {"rise over room": 15.0}, 45.0, Basis.CALCULATED),
        ({"room": "30 °C", "assumed": "room_temperature_c"}, {"rise over room": 15.0}, 45.0, Basis.ASSUMED),
        ({"room": "30 °C"}, {"rise over room": 15.0, "air": "40 °C"}, 40.0, Basis.MEASURED),
    ],
)
def test_air_is_the_room_and_its_rise_unless_it_was_measured(
    unit: Cells, board: Cells, value: float, basis: Basis
) -> None:
    air = case({"position": WET, "unit": unit, "board": board}).ambient
    assert (air.value, air.basis) == (pytest.approx(value), basis)


def test_a_body_hotter_than_its_air_counts_and_a_cooler_one_does_not() -> None:
    for body, value in (("60 °C", 60.0), ("40 °C", 45.0), ("45 °C", 45.0)):
        assert case({"position": {**WET, "body temperature": body}, "board": {"air": "45 °C"}}).ambient.value == value


def test_over_every_role_and_supply_only_reservoirs_behind_a_switcher_are_switched() -> None:
    for role in Role:
        for supply in SupplyKind:
            switched = case({"position": {**WET, "role": role}, "rail": {"volts": "5 V", "supply": supply}}).switched
            behind = role is Role.RESERVOIR and supply in SWITCHING_SUPPLIES
            assert switched == (role is Role.SWITCHER_OUTPUT or behind), (role, supply)


def test_over_every_kind_ceramic_alone_has_no_margin_and_no_step() -> None:
    by_id = {each.id: each for each in RULES}
    for kind in Kind:
        of = case({"position": {"kind": kind, "volts": "25 V", "working volts": "10 V"}})
        for name in ("voltage-margin", "voltage-step"):
            assert bool(list(by_id[name].outcomes(of))) == (kind is not Kind.CERAMIC), (kind, name)
