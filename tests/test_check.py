"""A part held against a position: verdicts, margins, frequencies, what would make it fit, doubts, the command."""

import json

import pytest
from click.testing import CliRunner
from test_catalogues import validator

from recap.cli import recap
from recap.model import (
    Basis,
    Conditions,
    Decision,
    Judgement,
    Kind,
    Mounting,
    Position,
    PositionKey,
    Reason,
    Relation,
    Requirement,
    Role,
    Specification,
    Strength,
    mark_governing,
)
from recap.model.check import PointVerdict, Verdict
from recap.model.inspection import Body
from recap.outputs.check_json import where_document
from recap.parts.checking import best_first, check_part, where_may_it_go, why_behind
from recap.parts.suspicion import suspicions
from recap.parts.text import NotAPartError, read_part
from tests.make_catalogue import EXAMPLES

INSPECTION = str(EXAMPLES / "inspection.xlsx")
GOOD = "alu radial 1000u 16V -40..105C 10x20 P5 5000h 1.2A@100kHz 22mohm@100kHz tan δ 0.14 lead 0.6"
AT_LEAST, AT_MOST, ONE_OF, EXACTLY = Relation.AT_LEAST, Relation.AT_MOST, Relation.ONE_OF, Relation.EXACTLY


def wants(quantity, relation, value, unit="", prefer=False, hz=None, rule="some-rule"):
    reason = Reason((), "because", "asked", rule, "our-judgement")
    strength = Strength.PREFER if prefer else Strength.MUST
    return Requirement(quantity, relation, value, unit, strength, reason, Basis.MARKED, hz)


def place(
    *requirements, kind=Kind.WET_ALUMINIUM, role=Role.DECOUPLING, conditions=None, arrangement="single", bare=False
):
    asked = {item.quantity for item in requirements if item.strength is Strength.MUST}
    usual = (wants("capacitance_f", AT_LEAST, 1e-12, "F"), wants("rated_voltage_v", AT_LEAST, 0.1, "V"))
    added = () if bare else tuple(item for item in usual if item.quantity not in asked)
    marked, _ = mark_governing((*requirements, *added))
    position = Position(PositionKey("U", "B", "C1"), body=Body(kind=kind, mounting=Mounting.RADIAL), role=role)
    specification = Specification(1e-3, (5e-4, 2e-3), 16, ("wet aluminium",), "radial", arrangement=arrangement)
    return Judgement(
        position, Decision.REPLACE, Decision.REPLACE, (), 1.0, marked,
        conditions=conditions or Conditions(50.0, 10.0, endurance_temperature_c=105.0),
        specification=specification,
    )  # fmt: skip


def held(text, *requirements, **kwargs):
    return check_part(place(*requirements, **kwargs), read_part(text)[0])


def only(check, quantity):
    return next(point for point in check.points if point.quantity == quantity)


def test_no_part_fits_where_nobody_knows_what_belongs_there():
    check = held(GOOD, wants("rated_voltage_v", AT_LEAST, 10.0, "V"), bare=True)
    assert (check.verdict, only(check, "capacitance_f").required) == (Verdict.ASK, "not known")
    assert check.would_fit_if == ("the capacitance that belongs at this position is found out",)
    assert held("alu 1000u 16V", bare=True).verdict is Verdict.ASK


@pytest.mark.parametrize(
    ("requirement", "verdict", "point"),
    [
        (wants("rated_voltage_v", AT_LEAST, 16.0, "V"), Verdict.FITS, PointVerdict.OK),
        (wants("rated_voltage_v", AT_LEAST, 16.1, "V"), Verdict.NO, PointVerdict.FAILS),
        (wants("rated_voltage_v", AT_LEAST, 25.0, "V", prefer=True), Verdict.FITS_WITH_NOTE, PointVerdict.NOTE),
        (wants("leakage_a", AT_MOST, 1e-5, "A"), Verdict.ASK, PointVerdict.CANNOT_TELL),
        (wants("leakage_a", AT_MOST, 1e-5, "A", prefer=True), Verdict.FITS_WITH_NOTE, PointVerdict.CANNOT_TELL),
        (wants("capacitance_f", AT_MOST, 1e-3, "F"), Verdict.FITS, PointVerdict.OK),
        (wants("capacitance_f", EXACTLY, 1.2e-3, "F", prefer=True), Verdict.FITS_WITH_NOTE, PointVerdict.NOTE),
        (wants("lead_spacing_mm", ONE_OF, (7.5, 5.08), "mm"), Verdict.FITS, PointVerdict.OK),
        (wants("lead_spacing_mm", ONE_OF, (7.5,), "mm"), Verdict.NO, PointVerdict.FAILS),
        (wants("kind", ONE_OF, ("wet aluminium", "film")), Verdict.FITS, PointVerdict.OK),
        (wants("polarity", ONE_OF, ("bipolar",)), Verdict.NO, PointVerdict.FAILS),
        (wants("mounting", ONE_OF, ("axial",)), Verdict.NO, PointVerdict.FAILS),
        (wants("lower_category_temperature_c", AT_MOST, -40.0, "°C"), Verdict.FITS, PointVerdict.OK),
        (wants("height_with_vent_mm", AT_MOST, 22.0, "mm"), Verdict.FITS, PointVerdict.OK),
        (wants("height_with_vent_mm", AT_MOST, 21.9, "mm"), Verdict.NO, PointVerdict.FAILS),
        (wants("estimated_life_h", AT_LEAST, 1e4, "h"), Verdict.FITS, PointVerdict.OK),
        (wants("ripple_current_a", AT_LEAST, 1.2, "A", hz=100e3), Verdict.FITS, PointVerdict.OK),
        (wants("esr_ohm", AT_MOST, 0.03, "Ω", hz=100e3), Verdict.FITS, PointVerdict.OK),
    ],
)
def test_one_demand_decides_the_verdict(requirement, verdict, point):
    check = held(GOOD, requirement)
    assert (check.verdict, only(check, requirement.quantity).verdict) == (verdict, point)


def test_margins_count_positive_where_there_is_room():
    check = held(GOOD, wants("rated_voltage_v", AT_LEAST, 10.0, "V"), wants("diameter_mm", AT_MOST, 8.0, "mm"))
    volts, diameter = only(check, "rated_voltage_v"), only(check, "diameter_mm")
    assert (volts.margin, volts.margin_pct) == (6.0, 60.0)
    assert (diameter.margin, diameter.margin_pct) == (-2.0, -25.0)
    assert volts.rule == "some-rule"
    assert volts.reason == "because"


def test_esr_is_never_compared_across_frequencies():
    check = held("alu 1000u 16V 22mohm@100kHz", wants("esr_ohm", AT_MOST, 1.0, "Ω", hz=120.0))
    point = only(check, "esr_ohm")
    assert (check.verdict, point.provided) == (Verdict.ASK, None)
    assert point.reason == (
        "cannot tell: needs ESR at 120 Hz or tan δ "
        "(stated at 100 kHz; figures at different frequencies are not compared)"
    )


def test_loss_gives_the_esr_at_its_own_frequency_only():
    low = held("alu 1000u 16V tan δ 0.14", wants("esr_ohm", AT_MOST, 0.2, "Ω", hz=120.0))
    assert only(low, "esr_ohm").provided == pytest.approx(0.14 / (2 * 3.14159265 * 120 * 1e-3))
    high = held("alu 1000u 16V tan δ 0.14", wants("esr_ohm", AT_MOST, 0.2, "Ω", hz=100e3))
    assert high.verdict is Verdict.ASK


def test_ripple_is_converted_by_the_published_multipliers_and_says_so():
    check = held("alu radial 1000u 16V 1.2A@100kHz", wants("ripple_current_a", AT_LEAST, 0.5, "A", hz=120.0))
    point = only(check, "ripple_current_a")
    # vishay-136, 10 to 25 V, at 100 and 300 Hz: 0.63 and 0.72 of the 100 kHz rating; 120 Hz lies just above the first
    assert 0.63 * 1.2 < point.provided < 0.66 * 1.2
    assert "by the published multipliers of its class (series 136" in point.reason
    unknown = held("film 1u 63V 1.2A@100kHz", wants("ripple_current_a", AT_LEAST, 0.5, "A", hz=120.0))
    assert unknown.verdict is Verdict.ASK
    nowhere = held("alu radial 1000u 16V ripple 1.2A", wants("ripple_current_a", AT_LEAST, 0.5, "A", hz=120.0))
    assert only(nowhere, "ripple_current_a").reason == "cannot tell: needs the frequency of its ripple"


def test_endurance_is_held_at_the_temperature_of_the_demand():
    demand = wants("endurance_h", AT_LEAST, 2000.0, "h", prefer=True)
    assert only(held("alu 100u 25V 85C 2000h", demand), "endurance_h").provided == pytest.approx(500)
    assert only(held("alu 100u 25V 125C 2000h", demand), "endurance_h").provided == pytest.approx(8000)
    assert only(held("polymer 100u 25V 85C 2000h", demand), "endurance_h").provided == pytest.approx(200)


def test_life_in_place_needs_endurance_and_stands_beside_the_originals():
    demand = wants("estimated_life_h", AT_LEAST, 4000.0, "h")
    check = held("alu 1000u 16V 105C 2000h", demand)
    assert check.life is not None
    assert check.life.nominal_h == pytest.approx(2000 * 2**5.5)
    silent = held("alu 1000u 16V 105C", demand)
    assert (silent.verdict, silent.life) == (Verdict.ASK, None)
    assert only(silent, "estimated_life_h").reason == "cannot tell: needs its endurance"
    assert held("film 1u 63V", demand).verdict is Verdict.FITS


def test_an_esr_floor_that_is_only_a_wish_asks():
    floor = wants("esr_ohm", AT_LEAST, 0.03, "Ω", prefer=True, hz=100e3, rule="esr-floor")
    low = held(GOOD, floor, role=Role.SWITCHER_OUTPUT)
    assert (low.verdict, only(low, "esr_ohm").verdict) == (Verdict.ASK, PointVerdict.CANNOT_TELL)
    assert low.would_fit_if == (
        "an ESR of at least 30 mΩ at 100 kHz",
        "the supply's loop is known to bear the lower ESR",
    )
    must = wants("esr_ohm", AT_LEAST, 0.1, "Ω", hz=100e3, rule="esr-floor")
    regulator = held(GOOD, must, role=Role.REGULATOR_OUTPUT)
    assert regulator.verdict is Verdict.NO
    assert "about 78 mΩ in series with the capacitor itself" in regulator.would_fit_if


def test_a_kind_on_condition_asks_unless_the_esr_floor_shows_it_met():
    allowed = wants("kind", ONE_OF, ("wet aluminium", "hybrid", "solid polymer"))
    same = wants("kind", ONE_OF, ("wet aluminium",), prefer=True)
    floor = wants("esr_ohm", AT_LEAST, 0.005, "Ω", prefer=True, hz=100e3, rule="esr-floor")
    polymer = "polymer radial 1000u 16V 10mohm@100kHz"
    where = {"role": Role.SWITCHER_OUTPUT}
    assert held(polymer, allowed, same, **where).verdict is Verdict.ASK
    assert held(polymer, allowed, same, floor, **where).verdict is Verdict.FITS_WITH_NOTE
    assert held("polymer radial 1000u 16V", allowed, same, floor, **where).verdict is Verdict.ASK
    assert held(polymer, allowed, same, role=Role.DECOUPLING).verdict is Verdict.FITS_WITH_NOTE
    wet = held("alu radial 100u 16V", wants("kind", ONE_OF, ("solid tantalum", "wet aluminium")),
               wants("kind", ONE_OF, ("solid tantalum",), prefer=True), kind=Kind.SOLID_TANTALUM)  # fmt: skip
    assert wet.verdict is Verdict.ASK


def test_a_usual_lead_diameter_reassures_but_proves_nothing():
    demand = wants("lead_diameter_mm", AT_MOST, 0.9, "mm")
    noted = held("alu radial 1000u 16V 10x20", demand)
    assert (noted.verdict, only(noted, "lead_diameter_mm").verdict) == (Verdict.FITS_WITH_NOTE, PointVerdict.NOTE)
    assert held("alu radial 1000u 16V 10x20", wants("lead_diameter_mm", AT_MOST, 0.5, "mm")).verdict is Verdict.ASK
    assert held("alu radial 1000u 16V 10x20 lead 0.6", demand).verdict is Verdict.FITS


@pytest.mark.parametrize(
    ("requirement", "remedy"),
    [
        (wants("rated_voltage_v", AT_LEAST, 20.0, "V"), "the same with a step up in voltage: 25 V, if"),
        (wants("rated_voltage_v", AT_LEAST, 600.0, "V"), "two in series with balancing resistors"),
        (wants("height_with_vent_mm", AT_MOST, 15.0, "mm"), "mounted on its side, fixed, where 23.5 × 10 mm"),
        (wants("height_with_vent_mm", AT_MOST, 15.0, "mm"), "a body at most 13 mm tall"),
        (wants("lead_spacing_mm", ONE_OF, (7.5, 10.0), "mm"), "the leads formed by 2.5 mm more than the policy allows"),
        (wants("lead_spacing_mm", ONE_OF, (7.5,), "mm", prefer=True), "its leads are formed from 5 to 7.5 mm"),
        (wants("mounting", ONE_OF, ("axial",), prefer=True), "it lies flat, leads lengthened in sleeving, body fixed"),
        (wants("ripple_current_a", AT_LEAST, 2.0, "A", hz=100e3), "a ripple rating of at least 2 A at 100 kHz"),
        (wants("leakage_a", AT_MOST, 1e-5, "A"), "its data sheet states leakage: at most 10 µA"),
        (wants("capacitance_f", AT_LEAST, 2e-3, "F"), "capacitance at least 2,000 µF"),
    ],
)  # fmt: skip
def test_what_would_make_it_fit(requirement, remedy):
    assert any(remedy in text for text in held(GOOD, requirement).would_fit_if)


def test_a_pair_is_tried_where_the_specification_asks_for_one():
    window = [wants("capacitance_f", AT_LEAST, 1.8e-3, "F"), wants("capacitance_f", AT_MOST, 2.2e-3, "F")]
    ripple = wants("ripple_current_a", AT_LEAST, 2.0, "A", hz=100e3)
    check = held(GOOD, *window, ripple, arrangement="two in parallel")
    assert (check.verdict, check.arrangement) == (Verdict.FITS, "two in parallel")
    assert held(GOOD, *window, ripple).verdict is Verdict.NO
    volts = wants("rated_voltage_v", AT_LEAST, 30.0, "V")
    assert held(GOOD, volts, arrangement="two in series").verdict is Verdict.FITS


def test_side_by_side_the_best_stands_first_and_the_others_hear_why():
    demands = (wants("rated_voltage_v", AT_LEAST, 16.0, "V"), wants("estimated_life_h", AT_LEAST, 4000.0, "h"))
    texts = ("alu 1000u 10V 105C 5000h", "alu 1000u 16V 105C", "alu 1000u 16V 105C 2000h", "alu 1000u 16V 105C 500h")
    checks = best_first(check_part(place(*demands), read_part(text)[0]) for text in texts)
    assert [check.part.text for check in checks] == [texts[2], texts[3], texts[1], texts[0]]
    assert why_behind(checks[0], checks[1]).startswith("shorter estimated life")
    assert why_behind(checks[1], checks[2]) == "it leaves a question about estimated life"
    assert why_behind(checks[2], checks[3]) == "it does not fit by rated voltage"


def test_where_may_it_go_leaves_no_position_with_demands_out():
    judgements = [place(wants("rated_voltage_v", AT_LEAST, volts, "V")) for volts in (10.0, 63.0)]
    found = where_may_it_go(judgements, read_part(GOOD)[0])
    assert [check.verdict for check in found] == [Verdict.FITS, Verdict.NO]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("alu 6800u 50V 16x20", "misread or fake"),
        ("alu 100u 25V 6.3x11 105C 5A@100kHz 0.3ohm@100kHz", "times what this can's surface carries"),
        ("alu 100u 25V 6.3x11 105C 20000h", "long-life families of this diameter claim 5,000 h"),
        ("alu 6800u 50V 18x35 6.5g", "a smaller one may sit inside"),
    ],
)
def test_doubtful_parts_are_named(text, says):
    assert any(says in each for each in suspicions(read_part(text)[0]))


def test_a_good_part_raises_no_doubt():
    assert suspicions(read_part(GOOD)[0]) == ()


def test_readings_and_dates_raise_doubts():
    from dataclasses import replace

    part = replace(read_part("alu 1000u 16V 10x20")[0], measured_capacitance_f=7e-4, date_code="8931")
    measured, stored = suspicions(part)
    assert "(−30%), outside its tolerance" in measured
    assert "reads as 1989" in stored
    assert "Reform it before use" in stored


@pytest.mark.parametrize("text", ["hello", "10x20 P5", "1k5 resistor"])
def test_a_text_without_value_and_rating_is_no_part(text):
    with pytest.raises(NotAPartError):
        read_part(text)


def test_what_a_text_leaves_open_is_said_when_it_is_assumed():
    part, said = read_part("1000u 16V 105C 10x20 P5 5000h 1.2A@100kHz 22mohm")
    assert (part.kind, part.mounting, part.esr_high_hz) == ("wet aluminium", "radial", 100e3)
    assert {problem.code for problem in said} == {"part-assumed"}
    assert len(said) == 3
    part, said = read_part("1000u 16V")
    assert (part.kind, part.mounting, said) == (None, None, ())


def run(*arguments):
    return CliRunner().invoke(recap, ["check", INSPECTION, *arguments])


@pytest.mark.parametrize(
    ("text", "code", "words"),
    [
        ("alu radial 2200u 16V -40..105C 16x25 P7.5 lead 0.8 5000h 2.4A@100kHz 22mohm@100kHz tan δ 0.16", 0, "FITS"),
        ("alu radial 2200u 16V 105C 16x25 P7.5 lead 0.8 5000h", 4, "ASK"),
        ("alu radial 2200u 6.3V 105C 16x25 P7.5 lead 0.8 5000h", 5, "NO"),
    ],
)
def test_the_exit_code_follows_the_verdict(text, code, words):
    shown = run("PSU/C12", "--part", text)
    assert shown.exit_code == code, shown.output
    assert f"at Corncrake/PSU/C12: {words}" in shown.output
    assert max(map(len, shown.output.splitlines())) <= 100


@pytest.mark.parametrize(
    "arguments",
    [
        ("PSU/C12", "--part", GOOD, "--json"),
        ("PSU/C12", "--part", GOOD, "--part", "polymer 2200u 10V 10x25 P5", "--json"),
        ("PSU/C12", "--mpn", "kp00200", "--parts", str(EXAMPLES / "parts-kestrel.csv"), "--json"),
    ],
)
def test_the_json_is_what_its_schema_says(arguments):
    shown = run(*arguments)
    assert shown.exit_code in (0, 4, 5), shown.output
    document = json.loads(shown.output)
    validator("check.schema.json").validate(document)
    assert {"verdict", "points", "estimated_life_h", "would_fit_if"} <= set(document["result"])


def test_the_json_of_all_positions_is_what_its_schema_says():
    checks = where_may_it_go([place(wants("rated_voltage_v", AT_LEAST, 16.0, "V"))], read_part(GOOD)[0])
    document = json.loads(json.dumps(where_document([checks], [])))
    validator("check.schema.json").validate(document)
    assert document["result"]["verdict"] == "fits"


def test_wrong_use_is_told_and_exits_with_two():
    for arguments in (("PSU/C12",), ("--part", GOOD), ("PSU/C12", "--all", "--part", GOOD), ("PSU/C12", "--mpn", "X")):
        assert run(*arguments).exit_code == 2
    for arguments, words in (
        (("PSU/C12", "--part", "hello"), "tells neither a capacitance nor a voltage"),
        (("PSU/C12", "--mpn", "NONE", "--parts", str(EXAMPLES / "drawer.csv")), 'no part "NONE"'),
        (("PSU/C999", "--part", GOOD), "no position"),
    ):
        error = run(*arguments).exception
        assert getattr(error, "exit_code", None) == 2
        assert words in str(error)


def test_all_positions_are_named_shortly():
    text = "alu radial 100u 25V -40..105C 6.3x11 P2.5 2000h 200mA@120Hz tan δ 0.14 lead 0.5"
    shown = run("--all", "--part", text)
    assert shown.exit_code == 0
    assert "fits: " in shown.output
    assert "more that miss several points; --full names them" in shown.output
    assert max(map(len, shown.output.splitlines())) <= 100
