"""From a position to the part to ask for, and to what must be settled first."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rule_cases import Cells, case

from recap.buying.lines import order_lines
from recap.model import Decision, Judgement, Position, PositionKey, Specification
from recap.policy import read_policy
from recap.rules.case import Case
from recap.rules.judging import judge, judge_all
from recap.rules.stress import peak_voltage

KNOWN = {"pad A": "nearer U1", "net": "plus at A", "net by": "meter"}
LEAKED = {"kind": "wet aluminium", "condition": "leaked", **KNOWN}


def judged(position: Cells, **sheets: Cells) -> Judgement:
    return judge(case({"position": {**LEAKED, **position}, **sheets}))


def specified(position: Cells, **sheets: Cells) -> Specification:
    found = judged(position, **sheets).specification
    assert found is not None
    return found


def test_a_plain_part() -> None:
    spec = specified({"capacitance": "1000 µF", "volts": "16 V", "role": "decoupling", "mounting": "radial"})
    assert (spec.capacitance_f, spec.rated_voltage_v) == (1e-3, 16.0)
    assert spec.kinds == ("wet aluminium", "hybrid", "solid polymer")
    assert (spec.upper_category_temperature_c, spec.lower_category_temperature_c) == (105.0, -40.0)
    assert not spec.ac


def test_a_series_pair_doubles_the_value_and_carries_the_whole_current() -> None:
    spec = specified({
        "capacitance": "100 µF", "volts": "700 V", "role": "reservoir", "mounting": "radial",
        "working volts": "500 V", "ripple current": "0.2 A", "ripple frequency": "100 Hz",
    })  # fmt: skip
    assert (spec.pieces, spec.arrangement) == (2, "two in series")
    assert (spec.capacitance_f, spec.rated_voltage_v) == pytest.approx((200e-6, 400.0))
    assert spec.ripple_current_a == pytest.approx(0.2)
    whole = 0.20 / (6.2832 * 120 * 100e-6)  # tan δ 0.20 at 450 V and above, Panasonic SU
    assert spec.esr_max_ohm == pytest.approx(whole / 2, rel=1e-3)
    # leakage limit of 200 µF, 400 V above 100 V: 0.06·200·400 + 10 = 4810 µA (Panasonic SU); (2·400 − 700)/4810 µA
    assert "at most 20.8 kΩ across it" in spec.notes[0]


@pytest.mark.parametrize(("volts", "pair"), [("640 V", 350.0), ("900 V", None)])
def test_a_pair_is_rated_above_half_the_voltage(volts: str, pair: float | None) -> None:
    spec = specified({"capacitance": "100 µF", "volts": volts, "role": "reservoir", "working volts": "300 V"})
    assert spec.arrangement == ("single" if pair is None else "two in series")
    assert spec.rated_voltage_v == (900.0 if pair is None else pair)


def test_a_parallel_pair_shares_the_current_and_may_have_twice_the_esr() -> None:
    row = {
        "capacitance": "30 µF", "tolerance": "-5/5", "volts": "16 V", "role": "reservoir", "mounting": "radial",
        "ripple current": "0.2 A", "ripple frequency": "100 Hz",
    }  # fmt: skip
    spec = specified({**row, "role": "timing"})
    assert (spec.pieces, spec.arrangement, spec.capacitance_f) == (2, "two in parallel", pytest.approx(15e-6))
    assert spec.capacitance_window_f == pytest.approx((14.25e-6, 15.75e-6))
    assert spec.ripple_current_a == pytest.approx(0.1)


def test_a_mains_part_keeps_class_value_and_ac_rating() -> None:
    spec = specified(
        {"kind": "metallised paper", "class": "X2", "capacitance": "0.1 µF", "volts": "250 V", "ac": "yes"},
        unit={"mains": "230 V"},
    )
    assert (spec.kinds, spec.safety_classes, spec.ac) == (("film",), ("X2", "X1", "Y2", "Y1"), True)
    assert (spec.rated_voltage_v, spec.capacitance_window_f) == (250.0, (1e-7, 1e-7))


def test_a_dc_marking_on_the_mains_says_nothing_of_the_ac_rating() -> None:
    spec = specified(
        {"kind": "film", "class": "X2", "capacitance": "0.1 µF", "volts": "630 V", "role": "mains safety"},
        unit={"mains": "230 V"},
    )
    assert (spec.rated_voltage_v, spec.ac) == (230.0, True)


def test_a_mains_part_of_unknown_class_is_not_ordered() -> None:
    found = judged({"kind": "metallised paper", "role": "mains safety", "capacitance": "0.1 µF", "volts": "250 V"})
    assert found.specification is None
    assert found.stops == ("Mains position without a known class: line to line takes X, line to earth takes Y.",)


def test_bipolar_is_no_ac_rating() -> None:
    spec = specified({"kind": "non-polar aluminium", "capacitance": "10 µF", "volts": "50 V", "role": "coupling"})
    assert (spec.kinds, spec.ac) == (("non-polar aluminium", "film"), False)


def test_tantalum_asks_for_its_own_kind_and_leaves_out_what_needs_another_value() -> None:
    spec = specified({"kind": "solid tantalum", "capacitance": "10 µF", "volts": "35 V", "role": "decoupling"})
    assert spec.kinds == ("solid tantalum", "solid polymer", "hybrid")


def test_an_unknown_kind_is_ordered_with_a_warning() -> None:
    spec = specified({"kind": "unknown", "capacitance": "10 µF", "volts": "35 V", "role": "decoupling"})
    assert (spec.kinds, spec.notes) == (("wet aluminium",), ("kind not known: check the body before buying",))


def test_the_limit_from_the_rail_outranks_that_of_the_kind_and_keeps_its_frequency() -> None:
    spec = specified(
        {
            "capacitance": "1000 µF", "volts": "16 V", "role": "switcher output", "mounting": "radial",
            "ripple current": "2 A", "ripple frequency": "40 kHz",
        },
        rail={"volts": "12 V", "supply": "buck", "ripple limit": "0.5 V"},
    )  # fmt: skip
    assert (spec.esr_max_ohm, spec.esr_frequency_hz) == (pytest.approx(0.072169, rel=1e-3), 40e3)
    assert (spec.esr_min_ohm, spec.esr_min_frequency_hz) == (pytest.approx(0.035367, rel=1e-3), 100e3)


@pytest.mark.parametrize(("diameter", "vent"), [("16 mm", 2.0), ("18 mm", 3.0)])
def test_height_leaves_the_vent_its_space(diameter: str, vent: float) -> None:
    # KEMET A4006, p. 10: 2 mm up to 16 mm diameter, 3 mm up to 40
    spec = specified({
        "capacitance": "1000 µF", "volts": "16 V", "mounting": "radial", "diameter": diameter, "room above": "30 mm",
    })  # fmt: skip
    assert spec.height_max_mm == 30.0 - vent


def test_height_counts_with_the_widest_body_that_may_come() -> None:
    spec = specified({
        "capacitance": "1000 µF", "volts": "16 V", "mounting": "radial", "diameter": "16 mm", "gap": "3 mm",
        "room above": "30 mm",
    })  # fmt: skip
    assert (spec.diameter_max_mm, spec.height_max_mm) == (18.5, 27.0)


def test_the_loaded_crest_counts_where_it_is_higher_than_the_unloaded_winding() -> None:
    sheets = {
        "position": {"role": "reservoir", "volts": "25 V"},
        "rail": {"volts": "17 V", "supply": "bridge", "secondary": "12 V", "ripple limit": "2 V"},
    }
    peak = peak_voltage(case(sheets))
    assert peak is not None
    assert peak.value == pytest.approx(17 * 1.1 + 1.0)


def test_a_danger_stops_what_is_only_to_be_measured() -> None:
    row = {**KNOWN, "kind": "wet aluminium", "override": "measure"}
    dispute = judge(case({"position": {**row, "silkscreen": "plus at the other pad"}}))
    assert (dispute.decision, dispute.meant) == (Decision.STOP, Decision.MEASURE)
    unknown = judge(case({"position": {"kind": "wet aluminium", "override": "measure"}}))
    assert (unknown.decision, unknown.stops) == (Decision.MEASURE, ())
    mains = judge(case({"position": {**row, "role": "mains safety"}}))
    assert mains.decision is Decision.STOP


def test_good_readings_outweigh_a_contested_wish_to_measure() -> None:
    row = {
        "kind": "wet aluminium", "mounting": "snap-in", "capacitance": "1000 µF", "volts": "16 V", "year": 1980,
        "in circuit": "no", "capacitance read": "1000 µF", "ESR read": "0.05 ohm", "ESR frequency": "120 Hz",
    }  # fmt: skip
    assert judge(case({"position": row}, "careful")).decision is Decision.KEEP


def test_a_leaky_part_of_a_bad_era_is_replaced_not_reformed() -> None:
    row = {
        **KNOWN, "kind": "wet aluminium", "mounting": "SMD can", "capacitance": "10 µF", "volts": "16 V", "year": 1990,
        "leakage read": "1 mA",
    }  # fmt: skip
    assert judge(case({"position": row})).decision is Decision.REPLACE


def test_sections_of_a_can_are_told_of_each_other_and_the_shop_is_told() -> None:
    made = []
    for section in "ab":
        given = case({"position": {**LEAKED, "capacitance": "40 µF", "volts": "450 V", "mounting": "twist-lock"}})
        made.append(_renamed(given, PositionKey("U", "B", "C1", section)))
    first, second = judge_all(made)
    assert first.fitting_notes[-1].startswith("Section of a can that also holds b:")
    assert second.specification is not None
    assert second.specification.notes[-1].startswith("section of a multi-section can")


def _renamed(given: Case, key: PositionKey) -> Case:
    return replace(given, position=replace(given.position, key=key))


def _at(designator: str) -> Position:
    return Position(PositionKey("U", "B", designator))


def test_a_common_value_in_two_windows_saves_a_line() -> None:
    low = Specification(56e-6, (50e-6, 70e-6), 16.0, ("wet aluminium",), "radial")
    high = Specification(82e-6, (65e-6, 100e-6), 16.0, ("wet aluminium",), "radial")
    judgements = [
        Judgement(
            Position(PositionKey("U", "B", f"C{number}")),
            Decision.REPLACE,
            Decision.REPLACE,
            (),
            1.0,
            specification=spec,
        )
        for number, spec in enumerate((low, high), 1)
    ]
    lines = order_lines(judgements, read_policy(), (Decision.REPLACE,))
    assert [line.specification.capacitance_f for line in lines] == [68e-6]
