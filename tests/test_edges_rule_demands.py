"""Demands and votes of single rules at edges: kinds, sizes, wishes, contested choices, lives and neighbours."""

from __future__ import annotations

from dataclasses import replace

import pytest
from rule_cases import Cells, case, position, says

from recap.formulas.life import ten_degree_rule
from recap.model import Basis, Body, Condition, Kind, LifeEstimate, Mounting, Position, Requirement
from recap.rules import RULES, reference
from recap.rules.case import Case
from recap.rules.cases import neighbour_gap
from recap.rules.given import Given
from recap.rules.judging import judge
from recap.rules.life import life_as_found, life_planned, ripple_of
from recap.rules.rule import Vote

BY_ID = {each.id: each for each in RULES}
WET = {"kind": "wet aluminium"}


def demands(rule_id: str, of: Case) -> list[Requirement]:
    return [each for each in BY_ID[rule_id].outcomes(of) if isinstance(each, Requirement)]


def votes(rule_id: str, cells: Cells, policy: str = "usual", **sheets: Cells) -> list[Vote]:
    found = BY_ID[rule_id].outcomes(case({"position": cells, **sheets}, policy))
    return [each for each in found if isinstance(each, Vote)]


# Kinds


@pytest.mark.parametrize(
    ("mounting", "kinds"),
    [
        ("axial", ("wet aluminium",)),
        ("radial", ("wet aluminium", "hybrid", "solid polymer")),
        ("snap-in", ("wet aluminium",)),
        ("unknown", ("wet aluminium", "hybrid", "solid polymer")),
    ],
)
def test_kinds_that_are_not_sold_in_a_mounting_are_not_offered(mounting: str, kinds: tuple[str, ...]) -> None:
    allowed, wish = demands("kind-exchange", case({"position": {**WET, "role": "decoupling", "mounting": mounting}}))
    assert allowed.value == kinds
    assert wish.value == ("wet aluminium",)


def test_a_hybrid_on_an_axial_place_stays_one_or_becomes_wet() -> None:
    allowed, _ = demands(
        "kind-exchange", case({"position": {"kind": "hybrid", "role": "decoupling", "mounting": "axial"}})
    )
    assert allowed.value == ("hybrid", "wet aluminium")


def test_classes_stand_for_each_other_by_letter_and_impulse() -> None:
    """IEC 60384-14: X1 4 kV, X2 2.5 kV, Y1 8 kV, Y2 5 kV; a Y may stand for an X, never the reverse."""
    assert reference.safety_substitutes("X2") == ("X2", "X1", "Y2", "Y1")
    assert reference.safety_substitutes("X1") == ("X1", "Y2", "Y1")
    assert reference.safety_substitutes("Y2") == ("Y2", "Y1")
    assert reference.safety_substitutes("Y1") == ("Y1",)
    assert reference.safety_substitutes("Z1") == ()
    assert set(reference.safety_whatever("")) == {"Y1"}


# Sizes


@pytest.mark.parametrize(
    ("gap", "basis", "limit", "words"),
    [
        (20.0, Basis.CALCULATED, 13.0, "at most 30 % wider"),
        (3.6, Basis.CALCULATED, 13.0, "at most 30 % wider"),
        (3.4, Basis.CALCULATED, 12.9, "the gap less 0.5 mm"),
        (20.0, Basis.MEASURED, 29.5, "the gap less 0.5 mm"),
        (0.2, Basis.MEASURED, 10.0, "the gap less 0.5 mm"),
    ],
)
def test_a_gap_that_was_only_worked_out_lets_a_body_grow_by_a_part(
    gap: float, basis: Basis, limit: float, words: str
) -> None:
    known = case({"position": {**WET, "diameter": "10 mm", "mounting": "radial"}})
    (found,) = demands("body-diameter", replace(known, neighbour_gap=Given("gap", gap, "mm", basis)))
    assert found.value == pytest.approx(limit)
    assert words in str(found.reason)


def test_over_every_mounting_axial_bodies_alone_lie_and_have_a_length() -> None:
    for mounting in Mounting:
        of = case({"position": {**WET, "mounting": mounting, "lead spacing": "30 mm", "room above": "20 mm"}})
        lengths, heights = demands("axial-length", of), demands("body-height", of)
        axial = mounting is Mounting.AXIAL
        assert [each.value for each in lengths] == [25.0] * axial, mounting
        over = [each.quantity for each in heights]
        expected = [] if mounting is Mounting.CHIP else ["diameter_mm" if axial else "height_with_vent_mm"]
        assert over == expected, mounting


def test_a_policy_may_refuse_radial_parts_on_axial_places() -> None:
    given = case({"position": {**WET, "mounting": "axial"}})
    for choice, mountings in (("allow", ("axial", "radial")), ("refuse", ("axial",))):
        contested = {**given.policy.entries["contested"], "axial_by_radial": choice}
        policy = replace(given.policy, entries={**given.policy.entries, "contested": contested})
        same, besides = demands("mounting", replace(given, policy=policy))
        assert (same.value, besides.value) == (("axial",), mountings)


def test_appearance_matters_under_conserve_alone() -> None:
    for stance, count in (("conserve", 1), ("repair", 0), ("renew", 0)):
        of = case({"position": {**WET, "diameter": "10 mm"}, "unit": {"stance": stance}})
        assert [each.value for each in demands("appearance", of)] == [8.0] * count


def placed(designator: str, x_mm: float | None, y_mm: float, diameter_mm: float = 10.0, **changes: object) -> Position:
    found = position({**WET})
    body = Body(kind=Kind.WET_ALUMINIUM, diameter_mm=diameter_mm, x_mm=x_mm, y_mm=y_mm)
    return replace(found, key=found.key._replace(designator=designator), body=body, **changes)  # type: ignore[arg-type]


def test_the_gap_to_the_nearest_listed_part_is_that_of_their_circles() -> None:
    """3-4-5: 50 mm between centres, less 5 and 10 mm of radius."""
    here, there, beyond = placed("C1", 0, 0), placed("C2", 30, 40, 20.0), placed("C3", 100, 0)
    found = neighbour_gap(here, [here, there, beyond])
    assert found is not None
    assert (found.value, found.basis) == (pytest.approx(35.0), Basis.CALCULATED)
    assert neighbour_gap(here, [here]) is None
    moved = [placed("C5", 3, 4), placed("C2", 33, 44, 20.0), placed("C0", 103, 4)]
    same = neighbour_gap(moved[0], moved)
    assert same is not None
    assert same.value == pytest.approx(35.0)
    absent = placed("C2", 30, 40, conditions=frozenset({Condition.EMPTY_BY_DESIGN}))
    section = placed("C1", 30, 40)
    assert neighbour_gap(here, [here, absent, section, placed("C4", None, 0)]) is None
    touching, overlapping = placed("C5", 10, 0), placed("C6", 9, 0)
    closest = neighbour_gap(here, [here, touching])
    assert closest is not None
    assert closest.value == 0.0
    assert neighbour_gap(here, [here, overlapping]) is None
    assert neighbour_gap(placed("C1", None, 0), [there]) is None


# Capacitance


def test_a_crossovers_wish_is_a_narrower_band() -> None:
    """5 % of 10 µF either way, besides the 10 % that must be kept."""
    found = demands(
        "capacitance-window", case({"position": {"kind": "film", "capacitance": "10 µF", "role": "crossover"}})
    )
    assert [each.value for each in found][2:] == pytest.approx([9.5e-6, 10.5e-6])
    assert all("within 5 %" in str(each.reason) for each in found[2:])


def test_a_window_names_its_role_as_assumed_only_where_it_is_unknown() -> None:
    for role, basis in (("unknown", "assumed"), ("timing", "documented"), ("switcher output", "documented")):
        found = demands("capacitance-window", case({"position": {**WET, "capacitance": "10 µF", "role": role}}))
        assert f"role {role} ({basis})" in str(found[0].reason)


def test_ratings_are_renamed_downwards_only() -> None:
    """64 V is sold as 63 V; 6 V is served by 6.3 V without being renamed."""
    assert (reference.renamed_rating(64.0), reference.renamed_rating(6.0), reference.renamed_rating(63.0)) == (
        63.0,
        None,
        None,
    )
    assert reference.mains_high_fraction() == 0.10


def test_a_valve_is_known_by_the_longest_type_that_fits() -> None:
    assert reference.valve_rectifier("no such valve") is None
    known = reference.valve_rectifier("5U4")
    assert known is not None
    for spelling in ("5u4", "5U4-GB", "5 U4 G"):
        assert reference.valve_rectifier(spelling) == known
    shorter, longer = reference.valve_rectifier("5Z3"), reference.valve_rectifier("5Z3P")
    assert shorter is not None
    assert longer is not None
    assert (shorter.largest_f, longer.largest_f) == (40e-6, 4e-6)


def test_tolerances_of_an_era_end_with_its_year() -> None:
    assert reference.era_tolerance("wet-aluminium", None) == reference.era_tolerance("wet-aluminium", 2024)
    assert [reference.era_tolerance("wet-aluminium", year) for year in (1979, 1980)] == [(-0.1, 0.5), (-0.2, 0.2)]
    assert reference.era_tolerance("no such family", None) == reference.era_tolerance("other", None)


# Decisions


CONTESTED: tuple[tuple[str, Cells, Cells, str], ...] = (
    ("kind-record", {"kind": "solid tantalum", "role": "decoupling"}, {}, "tantalum-on-rail"),
    ("heat-nearby", {**WET, "body temperature": "70 °C"}, {}, "near-heat"),
    ("known-eras", {**WET, "mounting": "SMD can", "year": 1995}, {}, "smd-era"),
    ("age-and-stance", {**WET, "mounting": "snap-in", "year": 2020}, {"stance": "repair"}, "large-can"),
)


@pytest.mark.parametrize("choice", ["measure", "replace"])
@pytest.mark.parametrize(("rule_id", "cells", "unit", "vote_id"), CONTESTED)
def test_a_contested_choice_has_its_own_weight_and_a_lighter_one_as_a_wish_to_measure(
    rule_id: str, cells: Cells, unit: Cells, vote_id: str, choice: str
) -> None:
    given = case({"position": cells, "unit": unit})
    switches = dict.fromkeys(given.policy.entries["contested"], choice)
    policy = replace(given.policy, entries={**given.policy.entries, "contested": switches})
    found = [each for each in BY_ID[rule_id].outcomes(replace(given, policy=policy)) if isinstance(each, Vote)]
    expected = reference.vote("contested-measure" if choice == "measure" else vote_id)[0]
    assert [(str(each.decision), each.weight) for each in found][:1] == [(choice, expected)]


@pytest.mark.parametrize("kind", ["paper", "film", "wet aluminium", "solid tantalum"])
def test_only_metallised_paper_is_replaced_for_being_across_the_mains(kind: str) -> None:
    assert not votes("mains-paper", {"kind": kind, "role": "mains safety"})
    assert votes("mains-paper", {"kind": "metallised paper", "role": "mains safety"})


def test_the_record_of_every_kind_in_three_places() -> None:
    always = {
        Kind.FILM: "keep", Kind.CERAMIC: "keep", Kind.PAPER: "replace", Kind.METALLISED_PAPER: "replace",
        Kind.WET_TANTALUM: "keep", Kind.SOLID_POLYMER: "keep",
    }  # fmt: skip
    for kind in Kind:
        for role in ("decoupling", "coupling", "deflection"):
            expected = always.get(kind)
            if kind is Kind.SOLID_TANTALUM:
                expected = "replace" if role == "decoupling" else "keep"
            if kind is Kind.NON_POLAR_ALUMINIUM and role == "deflection":
                expected = "replace"
            found = [str(each.decision) for each in votes("kind-record", {"kind": kind, "role": role})]
            assert found == ([] if expected is None else [expected]), (kind, role)


def test_wet_tantalum_on_a_rail_is_not_the_dipped_kind() -> None:
    (found,) = votes("kind-record", {"kind": "wet tantalum", "role": "decoupling"})
    assert (str(found.decision), found.weight) == ("keep", reference.vote("solid-elsewhere")[0])


# Lives


def as_found(**cells: str) -> LifeEstimate | None:
    return life_as_found(case({"position": {**WET, "volts": "25 V", **cells}, "board": {"air": "45 °C"}}))


def test_an_originals_life_goes_by_its_marking_or_by_what_is_assumed() -> None:
    """2000 h at 85 °C are four doublings in air of 45 °C."""
    marked = as_found(endurance="2000 h", temperature="85 °C")
    assert marked is not None
    assert marked.nominal_h == pytest.approx(32000.0)
    assert marked.low_h <= marked.nominal_h <= marked.high_h
    assert (str(marked.inputs[0].basis), marked.inputs[0].name) == ("marked", "endurance")
    for half in ({"endurance": "2000 h"}, {"temperature": "85 °C"}, {}):
        found = as_found(**half)
        assert found is not None
        assert found.inputs[0].basis is Basis.ASSUMED
        assert found.basis is Basis.ASSUMED
    assert life_as_found(case({"position": WET})) is None
    assert life_as_found(case({"position": {"kind": "film", "volts": "25 V"}})) is None


def test_what_would_narrow_a_life_is_what_is_not_measured() -> None:
    air, ripple = (
        "air temperature near the part, measured",
        "ripple current and the part's ripple rating at one frequency",
    )
    measured = as_found()
    guessed = life_as_found(case({"position": {**WET, "volts": "25 V"}}))
    assert measured is not None
    assert guessed is not None
    assert measured.narrower == (ripple,)
    assert guessed.narrower == (air, ripple)


def test_ripple_counts_where_current_and_rating_are_at_one_frequency() -> None:
    """1 A of 2 A rated: a quarter of 5 K; at another frequency nothing is known of it."""
    row = {
        **WET, "capacitance": "1000 µF", "volts": "25 V", "role": "reservoir", "mounting": "radial",
        "condition": "leaked",
        "ripple current": "1 A", "ripple frequency": "100 Hz", "diameter": "10 mm", "height": "20 mm",
    }  # fmt: skip
    of = case({"position": row, "board": {"air": "60 °C"}})
    spec = judge(of).specification
    assert spec is not None
    assert ripple_of(of) == (1.0, 100.0)

    def planned(**changes: float | None) -> LifeEstimate:
        found = life_planned(of, replace(spec, **changes))  # type: ignore[type-var]
        assert found is not None
        return found

    same = planned(ripple_current_a=2.0, ripple_frequency_hz=100.0)
    plain_rule = ten_degree_rule(spec.endurance_h or 0.0, spec.endurance_temperature_c or 0.0, 60.0)
    assert same.nominal_h == pytest.approx(plain_rule * 2 ** ((5.0 - 5.0 / 4) / 10))
    assert [each.name for each in same.inputs][2:3] == ["ripple"]
    assert same.narrower == ()
    assert "+" in same.model
    for unknown in (
        planned(ripple_current_a=2.0, ripple_frequency_hz=1e5),
        planned(ripple_current_a=2.0, ripple_frequency_hz=50.0),
        planned(ripple_current_a=None, ripple_frequency_hz=100.0),
    ):
        assert unknown.nominal_h == pytest.approx(plain_rule)
        assert "ripple" not in [each.name for each in unknown.inputs]
        assert len(unknown.narrower) == 1
    lacking: dict[str, None] = {"endurance_h": None}
    assert life_planned(of, replace(spec, **lacking)) is None
    assert life_planned(of, replace(spec, endurance_temperature_c=None)) is None


def test_voltage_is_an_input_where_a_model_counts_with_it() -> None:
    def names(mounting: str) -> list[str]:
        found = as_found(mounting=mounting, **{"working volts": "20 V"})
        assert found is not None
        return [each.name for each in found.inputs]

    assert names("snap-in") == ["endurance", "air near the part", "working voltage"]
    assert names("radial") == ["endurance", "air near the part"]


def test_a_large_can_lives_longer_for_less_voltage_and_says_by_which_model() -> None:
    """V2 of Jianghai: exponent 2.5 from 0.6 to 1; at four fifths of the rating 1.75 times as long."""

    def estimate(**cells: str) -> LifeEstimate:
        row = {"mounting": "snap-in", "endurance": "1000 h", "temperature": "85 °C", **cells}
        found = as_found(**row)
        assert found is not None
        return found

    full, less = (estimate(**{"working volts": each}) for each in ("25 V", "20 V"))
    assert less.high_h / full.high_h == pytest.approx(0.8**-2.5)
    assert any("+V" in name for name, _, _ in full.models)
    unknown = replace(case({"position": {**WET, "volts": "25 V", "mounting": "snap-in"}, "board": {"air": "45 °C"}}))
    vars(unknown)["working_voltage"] = None
    nothing = life_as_found(unknown)
    assert nothing is not None
    assert not any("+V" in name for name, _, _ in nothing.models)


def test_the_endurance_wanted_is_that_of_the_hottest_air_or_the_policys() -> None:
    """2000 h a year for 20 years in 75 °C air are 5000 h at 105 °C; in cool air the policy asks for more."""
    unit = {"hours a year": 2000.0, "years wanted": 20.0}
    hot = demands("life-wanted", case({"position": WET, "unit": unit, "board": {"air": "75 °C"}}))
    assert hot[0].value == pytest.approx(40000.0)
    assert hot[1].value == pytest.approx(5000.0)
    assert "ten-degree rule backwards" in str(hot[1].reason)
    odd = demands(
        "life-wanted", case({"position": WET, "unit": {**unit, "years wanted": 20.0003}, "board": {"air": "75 °C"}})
    )
    assert odd[1].value == pytest.approx(5000.075, rel=1e-9)
    cool = demands("life-wanted", case({"position": WET, "unit": unit, "board": {"air": "20 °C"}}))
    floor = case({"position": WET}).policy.number("life", "preferred_endurance_h")
    assert cool[1].value == floor
    least = 40000.0 / 2 ** ((105 - reference.coolest_life_ambient_c()) / 10)
    assert f"{least:.0f}" in str(cool[1].reason).replace(",", "")
    assert says(cool[1]).endswith("prefer")
