"""From a position to the part to ask for, and to what must be settled first."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rule_cases import Cells, case

from recap.model import Basis, Decision, Judgement, PositionKey, Specification
from recap.rules import shopping
from recap.rules.case import Case
from recap.rules.given import Given
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
    assert spec.esr_max_ohm == 1.32, whole / 2
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
    (stop,) = found.stops
    assert stop.startswith("Mains position without a known class: line to line takes X, line to earth takes Y,")


def test_an_x_without_its_number_is_no_plain_film_part() -> None:
    found = judged(
        {"kind": "metallised paper", "class": "X", "capacitance": "0.22 µF", "volts": "250 V", "ac": "yes"},
        unit={"mains": "240 V"},
    )
    assert (found.decision, found.meant, found.specification) == (Decision.STOP, Decision.REPLACE, None)
    assert any(text.startswith("Mains side:") for text in found.hazards)
    (classes,) = [item.value for item in found.requirements if item.quantity == "safety_class"]
    assert classes == ("X1", "Y2", "Y1")


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
    # 0.5 V / (2 A·√12) is 72.2 mΩ, a third of the 212 mΩ of a new part at 120 Hz is 70.7 mΩ; rounded downwards
    assert (spec.esr_max_ohm, spec.esr_frequency_hz) == (0.0707, 100e3)
    assert (spec.esr_min_ohm, spec.esr_min_frequency_hz) == (0.0354, 100e3)
    assert (spec.ripple_current_a, spec.ripple_frequency_hz) == (2.0, 40e3)
    assert "low-impedance type, ESR stated at 100 kHz" in spec.notes


def test_a_general_purpose_part_does_not_slip_into_a_switched_output() -> None:
    row = {"capacitance": "1000 µF", "volts": "16 V", "mounting": "radial", "diameter": "10 mm", "height": "20 mm"}
    found = judged({**row, "role": "switcher output"}, rail={"volts": "12 V", "supply": "forward"})
    musts = {i.frequency_hz for i in found.requirements if i.quantity == "esr_ohm" and i.strength == "must"}
    assert 100e3 in musts
    assert found.specification is not None
    assert (found.specification.esr_frequency_hz, found.specification.ripple_frequency_hz) == (100e3, 100e3)
    plain = specified({**row, "role": "decoupling"}, rail={"volts": "12 V", "supply": "forward"})
    assert (plain.esr_frequency_hz, plain.notes) == (120.0, ())


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
        "rail": {"volts": "17 V", "supply": "bridge", "secondary": "11 V", "ripple limit": "2 V"},
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


def test_the_pads_of_an_smd_can_take_its_size_whatever_the_gap() -> None:
    row = {"capacitance": "22 µF", "volts": "16 V", "mounting": "SMD can", "diameter": "5 mm", "gap": "7.5 mm"}
    assert specified({**row, "role": "decoupling"}).diameter_max_mm == 5.0
    assert specified({**row, "room above": "8 mm"}).height_max_mm == 6.0
    assert specified({**row, "mounting": "radial"}).diameter_max_mm == 12.0


def test_a_gap_that_nobody_measured_is_no_room_for_twice_the_size() -> None:
    given = case({"position": {"mounting": "radial", "diameter": "10 mm"}})
    wide = replace(given, neighbour_gap=Given("gap to the nearest listed capacitor", 20.0, "mm", Basis.CALCULATED))
    limit = next(item for item in judge(wide).requirements if item.quantity == "diameter_mm")
    assert limit.value == pytest.approx(13.0)


def test_an_axial_part_keeps_its_holes_and_its_length() -> None:
    spec = specified({
        "capacitance": "2200 µF", "volts": "35 V", "role": "reservoir", "mounting": "axial", "diameter": "21 mm",
        "height": "38 mm", "lead spacing": "44 mm", "gap": "2.5 mm", "room above": "40 mm",
    })  # fmt: skip
    assert (spec.lead_spacings_mm, spec.height_max_mm, spec.diameter_max_mm) == ((44.0,), 39.0, 23.0)
    assert spec.kinds == ("wet aluminium",)


def test_a_section_of_a_can_is_wet_aluminium() -> None:
    row = {"capacitance": "470 µF", "volts": "40 V", "role": "decoupling", "mounting": "twist-lock"}
    assert specified(row).kinds == ("wet aluminium",)


@pytest.mark.parametrize(("value", "kinds"), [("1 µF", ("wet aluminium", "film")), ("10 µF", ("wet aluminium",))])
def test_film_is_offered_where_it_goes_in(value: str, kinds: tuple[str, ...]) -> None:
    spec = specified({
        "capacitance": value, "volts": "50 V", "role": "coupling", "mounting": "radial", "diameter": "5 mm",
        "height": "11 mm",
    })  # fmt: skip
    assert spec.kinds == kinds


def test_a_deflection_part_may_be_ten_per_cent_off_and_says_what_it_carries() -> None:
    found = judged({
        "kind": "non-polar aluminium", "capacitance": "10 µF", "volts": "25 V", "role": "deflection",
        "mounting": "radial", "ripple current": "2.1 A", "ripple frequency": "15.6 kHz",
    })  # fmt: skip
    spec = found.specification
    assert spec is not None
    assert spec.capacitance_window_f == pytest.approx((9e-6, 11e-6))
    assert spec.notes == ("alternating voltage across it: bipolar or film, rated for 2.1 A AC at 15.6 kHz",)
    assert not [item for item in found.not_assessed if item.rule == "polarity-class"]
    wishes = [i.value for i in found.requirements if i.quantity == "capacitance_f" and i.strength == "prefer"]
    assert pytest.approx(9.5e-6) in wishes


def test_the_floor_of_a_tantalum_s_category_is_a_real_one() -> None:
    row = {"kind": "solid tantalum", "capacitance": "10 µF", "volts": "35 V", "role": "decoupling"}
    assert specified(row, board={"air": "48 °C"}).upper_category_temperature_c == 85.0


def test_a_part_that_ran_reversed_is_meant_to_be_replaced_and_stops() -> None:
    row = {"kind": "solid tantalum", "capacitance": "1 µF", "volts": "35 V", "role": "timing", "condition": "sound"}
    found = judged({**row, "as found": "plus at the other pad", "silkscreen": "plus at A"})
    assert (found.decision, found.meant) == (Decision.STOP, Decision.REPLACE)
    assert found.orientation.text is None
    assert found.specification is not None
    only_print = judged({**row, "as found": "plus at A", "silkscreen": "plus at the other pad"})
    assert (only_print.decision, only_print.meant) == (Decision.STOP, Decision.KEEP)
    assert "the silkscreen is the odd one out" in only_print.stops[0]


def test_after_a_repair_the_documents_hold_and_readings_still_go_by_what_is_fitted() -> None:
    found = judged({
        "condition": "replaced before", "capacitance": "47 µF", "documented capacitance": "22 µF", "volts": "16 V",
        "capacitance read": "46 µF", "in circuit": "no", "role": "coupling",
    })  # fmt: skip
    assert found.specification is not None
    assert found.specification.capacitance_f == pytest.approx(22e-6)
    assert (found.decision, found.meant) == (Decision.STOP, Decision.REPLACE)
    assert not [reason for reason in found.reasons if reason.rule == "reading-capacitance"]


def test_a_back_up_part_beyond_any_electrolytic_is_referred_and_not_specified() -> None:
    row = {
        "kind": "unknown", "capacitance": "100000 µF", "volts": "5.5 V", "role": "backup", "diameter": "13 mm",
        "height": "8 mm", "condition": "leaked",
    }  # fmt: skip
    found = judged(row)
    assert (found.decision, found.specification) == (Decision.REFER, None)
    assert not [item for item in found.requirements if item.quantity == "kind"]


def test_a_stop_for_unread_volts_says_what_the_rail_asks_for() -> None:
    found = judged(
        {"kind": "solid tantalum", "capacitance": "4.7 µF", "role": "decoupling", "rail": "+12V"},
        rail={"name": "+12V", "volts": "12 V", "supply": "forward", "tolerance": "5%"},
    )
    assert found.stops[-1].endswith("By rail +12V (12 V, at most 12.6 V) 25 V would do.")


def test_a_reason_is_given_once() -> None:
    for row in ({"condition": "leaked, crust"}, {"condition": "bulged top, cracked", "year": 1980}):
        reasons = judged(row).reasons
        assert len(reasons) == len(set(reasons))


@pytest.mark.parametrize("value", [0.41123, 15.35, 2.1])
def test_figures_of_a_shop_are_rounded_to_the_safe_side(value: float) -> None:
    assert shopping.down(value, 0.1) <= value < shopping.down(value, 0.1) + 0.1  # type: ignore[operator]
    assert shopping.digits_down(value) <= value <= shopping.digits_up(value)  # type: ignore[operator]
    assert float(f"{shopping.digits_up(value):.3g}") == shopping.digits_up(value)
