"""Rules at the edges their case files leave open: reasons in full, orders, equal figures and pairs, worked on paper."""

from __future__ import annotations

import math
from collections.abc import Iterable

import pytest
from rule_cases import Cells, case, says

from recap.model import (
    Basis,
    Board,
    Decision,
    Inspection,
    Judgement,
    Position,
    PositionKey,
    Rail,
    Relation,
    Requirement,
    Role,
    Specification,
    Unit,
)
from recap.policy import read_policy
from recap.rules import RULES, judging, new_parts
from recap.rules.case import Case
from recap.rules.cases import cases
from recap.rules.judging import judge
from recap.rules.rule import Outcome, Say, Vote, rule
from recap.rules.voltage import voltage_floors

BY_ID = {each.id: each for each in RULES}
WET = {"kind": "wet aluminium"}
KNOWN = {"pad A": "nearer U1", "net": "plus at A", "net by": "meter"}
LEAKED = {**WET, "condition": "leaked", **KNOWN}


def outcomes(rule_id: str, position: Cells, **sheets: Cells) -> list[Outcome]:
    return list(BY_ID[rule_id].outcomes(case({"position": position, **sheets})))


def said(rule_id: str, position: Cells, **sheets: Cells) -> list[str]:
    return [says(each) for each in outcomes(rule_id, position, **sheets)]


def demanded(rule_id: str, position: Cells, **sheets: Cells) -> Requirement:
    return next(each for each in outcomes(rule_id, position, **sheets) if isinstance(each, Requirement))


def specified(position: Cells, **sheets: Cells) -> Specification:
    found = judge(case({"position": {**LEAKED, **position}, **sheets})).specification
    assert found is not None
    return found


# Voltage


def test_a_renamed_rating_says_up_to_which_voltage() -> None:
    for working in ("30 V", "56.7 V"):
        found = demanded("voltage-marked", {**WET, "volts": "64 V", "working volts": working})
        assert found.value == 63.0
        assert "64 V is sold as 63 V today; allowed while the working voltage is at most 56.7 V" in str(found.reason)


def test_documents_that_say_the_same_ask_once() -> None:
    assert said("voltage-marked", {**WET, "volts": "16 V", "documented volts": "16 V"}) == [
        "rated_voltage_v at_least 16 V must"
    ]


def test_a_peak_that_is_the_working_voltage_is_named_once() -> None:
    """A coupling part of measured 17 V meets no more; a reservoir's peak stands beside its working voltage."""
    alone = demanded("voltage-peak", {**WET, "volts": "25 V", "working volts": "17 V", "role": "coupling"})
    assert [each.name for each in alone.reason.inputs] == ["working voltage"]
    rail = {"volts": "17 V", "supply": "bridge"}
    both = demanded("voltage-peak", {**WET, "volts": "25 V", "role": "reservoir"}, rail=rail)
    assert [each.name for each in both.reason.inputs] == ["rail +V", "worst-case peak (no load, high mains)"]


@pytest.mark.parametrize(
    ("role", "rail", "missing"),
    [
        ("coupling", {"volts": "12 V"}, "working volts measured (the rail need not stand across this part)"),
        ("coupling", {}, "working volts measured, or the rail's nominal volts"),
        ("reservoir", {"supply": "bridge"}, "working volts measured, or the rail's nominal volts"),
    ],
)
def test_what_a_peak_lacks_depends_on_role_and_rail(role: str, rail: Cells, missing: str) -> None:
    assert said("voltage-peak", {**WET, "role": role}, rail=rail) == [f"missing: {missing}"]


def test_a_step_says_which_figure_it_serves() -> None:
    """12.8 V over 0.8 is 16 V exactly; 420 V over 0.9 is 466.7 V, for which only a rare rating would do."""
    exact = demanded("voltage-step", {**WET, "volts": "16 V", "working volts": "12.8 V"})
    assert "sold that suffices for 16 V →" in str(exact.reason)
    short = demanded("voltage-step", {**WET, "volts": "450 V", "working volts": "420 V", "role": "reservoir"})
    assert "suffices for 450 V, which leaves less than the margin asked for (466.7 V) →" in str(short.reason)
    over = demanded("voltage-step", {**WET, "volts": "15 V"})
    assert "sold that suffices for 15 V →" in str(over.reason)


def test_floors_come_from_demands_on_the_rating_alone() -> None:
    assert voltage_floors([]) == (0.0, 0.0)
    others = outcomes("capacitance-window", {**WET, "capacitance": "100 µF", "role": "reservoir"})
    peak = outcomes("voltage-peak", {**WET, "working volts": "17 V", "role": "reservoir"})
    wish = outcomes("voltage-margin", {**WET, "working volts": "17 V"})
    assert voltage_floors([*others, *peak]) == pytest.approx((17.0, 17.0))
    assert voltage_floors([*peak, *wish]) == pytest.approx((17.0, 21.25))
    assert voltage_floors(wish) == pytest.approx((0.0, 21.25))


# Stress


def stress(position: Cells, **sheets: Cells) -> Case:
    return case({"position": {**WET, **position}, **sheets})


def test_a_rectified_rail_goes_before_the_mains() -> None:
    primary = {"role": "primary reservoir", "volts": "400 V"}
    unit = {"mains": "230 V"}
    known = stress(primary, unit=unit, rail={"volts": "300 V", "supply": "bridge"}).working_voltage
    unnamed = stress(primary, unit=unit, rail={"supply": "bridge"}).working_voltage
    switched = stress(primary, unit=unit, rail={"volts": "5 V", "supply": "flyback"}).working_voltage
    assert known is not None
    assert unnamed is not None
    assert switched is not None
    assert (known.value, known.basis) == (300.0, Basis.DOCUMENTED)
    assert unnamed.value == switched.value == pytest.approx(230 * math.sqrt(2))


def test_two_in_series_hold_half_the_rectified_mains() -> None:
    found = stress({"role": "primary reservoir", "volts": "200 V"}, unit={"mains": "230 V"}).working_voltage
    assert found is not None
    assert (found.value, found.basis) == (pytest.approx(230 / math.sqrt(2)), Basis.ASSUMED)


def test_an_assumed_working_voltage_names_its_share_of_the_rating() -> None:
    found = stress({"volts": "50 V"}).working_voltage
    assert found is not None
    assert (found.name, found.value) == ("working voltage (80 % of the rating)", pytest.approx(40.0))


def test_a_doublers_winding_stands_twice_on_its_output_and_once_on_each_reservoir() -> None:
    """10 V rms, 8 % more unloaded, 10 % more by the mains: 16.8 V on each."""
    rail = {"volts": "24 V", "supply": "voltage doubler", "secondary": "10 V"}
    each, output = (
        stress({"role": role, "volts": "25 V"}, rail=rail).peak_voltage for role in ("reservoir", "decoupling")
    )
    assert each is not None
    assert output is not None
    assert each.value == pytest.approx(10 * math.sqrt(2) * 1.08 * 1.10)
    assert output.value == pytest.approx(2 * each.value)


def test_the_crest_of_the_ripple_adds_to_a_rail_of_unknown_tolerance() -> None:
    found = stress({"role": "decoupling"}, rail={"volts": "12 V", "ripple limit": "0.2 V"}).peak_voltage
    assert found is not None
    assert (found.value, found.name) == (pytest.approx(12.1), "rail without its tolerance")


# Judging


def heavier_first(found: Judgement) -> list[str]:
    return [each.rule for each in found.reasons]


def test_reasons_go_by_weight_and_the_fallback_shows_only_where_it_wins() -> None:
    """Leaked 900, renewed 650, era 630; the fallback's 100 stays out of sight."""
    leaked = judge(case({"position": {**LEAKED, "year": 1980, "volts": "16 V"}, "unit": {"stance": "renew"}}))
    assert heavier_first(leaked)[0] == "visible-damage"
    assert "no-reason" not in heavier_first(leaked)
    old = judge(case({"position": {**WET, "condition": "sleeve shrunk", "year": 1970}, "unit": {"stance": "repair"}}))
    assert heavier_first(old) == ["visible-damage", "age-and-stance"]
    nothing = judge(case({"position": {"kind": "unknown", "year": 2024}}))
    assert heavier_first(nothing) == ["no-reason"]


def test_an_override_goes_before_all_and_the_rest_stay_in_sight_by_weight() -> None:
    """Override 1000, leaked 900, renewed 650, era 640, hot air 610."""
    row = {**LEAKED, "mounting": "SMD can", "year": 1995, "body temperature": "70 °C", "override": "measure"}
    of = case({"position": row, "unit": {"stance": "renew"}})
    found = judge(of)
    assert heavier_first(found)[:2] == ["user-decision", "visible-damage"]
    weights = {each.reason: each.weight for one in RULES for each in one.outcomes(of) if isinstance(each, Vote)}
    shown = [weights[each] for each in found.reasons]
    assert shown == sorted(shown, reverse=True)
    assert len(shown) >= 5


def test_only_a_polar_part_has_an_orientation() -> None:
    assert judge(case({"position": {**WET}})).orientation.missing
    assert not judge(case({"position": {"kind": "film"}})).orientation.missing
    known = judge(case({"position": {**LEAKED}})).orientation
    assert known.text == "Plus to the pad nearer U1 (net metered)."


def test_a_rail_that_need_not_stand_across_a_part_tells_no_rating() -> None:
    row = {**LEAKED, "capacitance": "10 µF", "role": "coupling", "rail": "+12V"}
    found = judge(case({"position": row, "rail": {"name": "+12V", "volts": "12 V", "supply": "buck"}}))
    assert "its volts could not be read" in found.stops[-1]
    assert "would do" not in found.stops[-1]


@pytest.mark.parametrize(
    ("position", "unit", "rank"),
    [
        ({"condition": "leaked", "role": "reservoir"}, {"downstream": "replaceable"}, 4.0),
        ({"condition": "sleeve shrunk", "role": "timing", "year": 2020}, {}, 1.0),
        ({"condition": "leaked", "role": "switcher output"}, {"downstream": "irreplaceable"}, 5.0),
        ({"condition": "leaked", "role": "timing"}, {"downstream": "irreplaceable"}, 2.0),
    ],
)
def test_rank_is_likelihood_times_consequence(position: Cells, unit: Cells, rank: float) -> None:
    assert judge(case({"position": {**WET, **position}, "unit": unit})).rank == pytest.approx(rank)


@rule("twice", "Twice the value", "our-judgement", "capacitance")
def twice(of: Case, say: Say) -> Iterable[Outcome]:
    """Ask for what no window of 10 µF holds."""
    yield say.demand("capacitance_f", Relation.AT_LEAST, 20e-6, "F", [], "twice", "capacitance at least 20 µF")


def test_a_contradiction_matters_only_where_the_part_is_replaced(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(judging, "RULES", (*judging.RULES, twice))
    row = {**WET, **KNOWN, "role": "timing", "capacitance": "10 µF", "volts": "16 V"}
    for override, stopped in (("keep", 0), ("measure", 0), ("refer", 0), ("replace", 1)):
        found = judge(case({"position": {**row, "override": override}}))
        assert len(found.stops) == stopped
        assert [each.rules for each in found.contradictions] == [("twice", "capacitance-window")]
        assert all(each.endswith("(rules twice and capacitance-window).") for each in found.stops)
        assert found.meant is Decision(override)
        assert (found.specification is not None) == (override in ("measure", "replace"))


def test_what_could_not_be_read_is_asked_for_by_name() -> None:
    def stops(**row: str) -> str:
        return " ".join(judge(case({"position": {**LEAKED, "role": "decoupling", **row}})).stops)

    assert "its capacitance and volts could not be read" in stops()
    assert "its volts could not be read" in stops(capacitance="10 µF")
    assert "its capacitance could not be read" in stops(volts="16 V")
    assert "could not be read" not in stops(capacitance="10 µF", volts="16 V")
    kept = judge(case({"position": {**WET, "override": "keep"}}))
    assert not kept.stops


def test_a_known_rail_tells_which_rating_would_do() -> None:
    """12 V, with 5 % 12.6 V; over 0.8 that is 15 V of margin, so 16 V; without volts read nothing is offered."""
    rail = {"name": "+12V", "volts": "12 V", "supply": "buck"}
    found = judge(
        case({"position": {**LEAKED, "capacitance": "10 µF", "role": "decoupling", "rail": "+12V"}, "rail": rail})
    )
    assert found.stops[-1].endswith("By rail +12V (12 V, at most 12.6 V) 16 V would do.")
    higher = {"name": "+13V", "volts": "13 V", "supply": "buck"}
    unread = {**LEAKED, "capacitance": "10 µF", "role": "decoupling", "rail": "+13V"}
    found = judge(case({"position": unread, "rail": higher}))
    assert found.stops[-1].endswith("(13 V, at most 13.65 V) 25 V would do."), "13 V over 0.8 is 16.25 V"
    read = judge(case({"position": {**LEAKED, "volts": "25 V", "role": "decoupling", "rail": "+12V"}, "rail": rail}))
    assert "would do" not in read.stops[-1]


def test_stops_that_are_no_danger_wait_until_the_part_comes_off() -> None:
    """Nobody knows which way round: that stops a replacement, not a look."""
    row = {**WET, "capacitance": "10 µF", "volts": "16 V"}
    assert judge(case({"position": {**row, "override": "replace"}})).decision is Decision.STOP
    assert judge(case({"position": {**row, "override": "measure"}})).decision is Decision.MEASURE


def test_conditions_are_those_of_the_place() -> None:
    found = judge(case({"position": {**WET, "working volts": "12 V"}, "board": {"air": "50 °C"}})).conditions
    assert (found.ambient_temperature_c, found.working_voltage_v) == (50.0, 12.0)
    assert judge(case({"position": WET})).conditions.working_voltage_v is None


def test_hazards_and_notes_for_fitting_are_kept_apart() -> None:
    found = judge(case({"position": {**LEAKED, "condition": "leaked, replaced before"}}))
    assert [each.split(":")[0] for each in found.hazards] == ["Leaked"]
    assert [each.split(":")[0] for each in found.fitting_notes] == ["Replaced before"]


def test_reservoirs_of_one_rail_and_unit_make_a_bank_and_nobody_else() -> None:
    def put(unit: str, designator: str, role: Role, rail: str) -> Position:
        return Position(PositionKey(unit, "B", designator), role=role, rail=rail)

    positions = (
        put("U", "C1", Role.RESERVOIR, "+V"),
        put("U", "C2", Role.RESERVOIR, "+V"),
        put("U", "C3", Role.DECOUPLING, "+V"),
        put("U", "C4", Role.RESERVOIR, "-V"),
        put("W", "C5", Role.RESERVOIR, "+V"),
        put("U", "C6", Role.RESERVOIR, ""),
    )
    units = (Unit("U", rails=(Rail("+V", nominal_v=5.0),), boards=(Board("B", air_temperature_c=33.0),)), Unit("W"))
    made = cases(Inspection((), units, positions), read_policy(), 2025)
    assert [each.position for each in made] == list(positions)
    banks = [[each.key.designator for each in of.bank] for of in made]
    assert banks == [["C1", "C2"], ["C1", "C2"], [], ["C4"], ["C5"], []]
    assert [of.rail.nominal_v if of.rail else None for of in made] == [5.0, 5.0, 5.0, None, None, None]
    assert [of.unit.name for of in made] == ["U"] * 4 + ["W", "U"]
    assert [of.board.air_temperature_c for of in made] == [33.0] * 4 + [None, 33.0]
    assert {of.present_year for of in made} == {2025}


# Specification


def test_a_rating_that_is_not_sold_becomes_the_next() -> None:
    row = {"capacitance": "100 µF", "role": "decoupling", "mounting": "radial"}
    assert [specified({**row, "volts": each}).rated_voltage_v for each in ("15 V", "16 V", "17 V")] == [
        16.0,
        16.0,
        25.0,
    ]


def test_a_plain_part_is_one_with_its_endurance_at_the_wanted_temperature() -> None:
    plain_part = specified({"capacitance": "100 µF", "volts": "16 V", "role": "decoupling", "mounting": "radial"})
    assert (plain_part.pieces, plain_part.arrangement) == (1, "single")
    assert (plain_part.endurance_h is None) == (plain_part.endurance_temperature_c is None)


def test_a_pair_in_series_doubles_both_ends_of_the_window_and_tells_the_power_of_its_resistors() -> None:
    """Two of 400 V share the marked 700 V: 350²/R is what each of their resistors burns."""
    row = {
        "capacitance": "100 µF",
        "volts": "700 V",
        "role": "reservoir",
        "mounting": "radial",
        "working volts": "500 V",
    }
    pair = specified(row)
    demands = [each.value for each in outcomes("capacitance-window", {**WET, **row}) if isinstance(each, Requirement)]
    assert pair.capacitance_window_f == pytest.approx([2 * float(each) for each in demands])  # type: ignore[arg-type]
    ohm = 20.8e3
    note = next(each for each in pair.notes if "in series" in each)
    watts = float(note.split("(")[1].split(" W")[0])
    assert watts == pytest.approx(350.0**2 / ohm, rel=0.01)


@pytest.mark.parametrize(("share", "film"), [(0.98, False), (1.02, True)])
def test_film_goes_in_where_its_volume_does(share: float, film: bool) -> None:
    """A can of 10 mm holds π/4 cm² for each centimetre; the film's volume comes from the table."""
    need_cm3 = new_parts.film_volume_cm3(1e-6, 63.0)
    body = {"diameter": "10 mm", "height": f"{share * need_cm3 / (math.pi / 4) * 10} mm"}
    row = {"capacitance": "1 µF", "volts": "63 V", "role": "coupling", "mounting": "radial"}
    assert ("film" in specified({**row, **body}).kinds) == film
