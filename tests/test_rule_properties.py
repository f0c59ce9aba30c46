"""What must hold of the rules, of judging and of the order, whatever the inspection holds."""

from __future__ import annotations

import itertools
import random
from collections import Counter
from collections.abc import Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rule_cases import PRESENT_YEAR, case

from recap.formulas.preferred import next_rating
from recap.model import (
    Board,
    Body,
    Condition,
    Decision,
    Inspection,
    Judgement,
    Kind,
    Marked,
    MarkMeaning,
    Mounting,
    NetBy,
    PlusAt,
    Polarity,
    Position,
    PositionKey,
    Rail,
    Relation,
    Requirement,
    Role,
    Stance,
    Strength,
    SupplyKind,
    Unit,
    mark_governing,
)
from recap.planning import plan
from recap.policy import read_policy
from recap.rules import judging
from recap.rules.case import Case
from recap.rules.judging import judge
from recap.rules.polarity import orient
from recap.rules.reference import all_ratings, common_ratings
from recap.rules.rule import Outcome, Say, rule
from recap.rules.voltage import sold_rating

POLICY = read_policy()
FEW = settings(max_examples=60, deadline=None)
ROLES, KINDS = st.sampled_from(list(Role)), st.sampled_from(list(Kind))
VALUES = st.sampled_from([1e-6, 4.7e-6, 10e-6, 32e-6, 50e-6, 100e-6, 470e-6, 1000e-6, 2500e-6, 10000e-6])
RATINGS = st.sampled_from([6.3, 10.0, 15.0, 16.0, 25.0, 35.0, 40.0, 63.0, 64.0, 100.0, 160.0, 400.0, 450.0, 525.0])


def _floor(judgement: Judgement, quantity: str, strength: Strength | None = None) -> float:
    found = (
        float(item.value)
        for item in judgement.requirements
        if item.quantity == quantity and item.relation is Relation.AT_LEAST and strength in (None, item.strength)
        if isinstance(item.value, int | float)
    )
    return max(found, default=0.0)


# More stress never relaxes a requirement.


@FEW
@given(ROLES, KINDS, RATINGS, st.floats(1, 400), st.floats(0, 200), st.sampled_from(list(SupplyKind)))
def test_more_volts_never_ask_for_less(
    role: Role, kind: Kind, rated: float, working: float, more: float, supply: SupplyKind
) -> None:
    def floors(volts: float) -> tuple[float, float]:
        sheets = {
            "position": {"role": role, "kind": kind, "volts": f"{rated} V", "working volts": f"{volts} V"},
            "rail": {"volts": "12 V", "supply": supply},
        }
        found = judge(case(sheets))
        return _floor(found, "rated_voltage_v", Strength.MUST), _floor(found, "rated_voltage_v")

    low, high = floors(working), floors(working + more)
    assert all(a <= b * (1 + 1e-12) for a, b in zip(low, high, strict=True))


@FEW
@given(KINDS, st.floats(-10, 100), st.floats(0, 60))
def test_hotter_air_never_asks_for_less(kind: Kind, air: float, more: float) -> None:
    def floors(temperature: float) -> tuple[float, ...]:
        found = judge(case({"position": {"kind": kind}, "board": {"air": f"{temperature} °C"}}))
        return tuple(_floor(found, name) for name in ("upper_category_temperature_c", "endurance_h"))

    assert all(a <= b * (1 + 1e-12) for a, b in zip(floors(air), floors(air + more), strict=True))


@FEW
@given(ROLES, st.floats(0.01, 10), st.floats(0, 10))
def test_more_ripple_never_asks_for_less(role: Role, current: float, more: float) -> None:
    def demands(amperes: float) -> tuple[float, float]:
        row = {"role": role, "ripple current": f"{amperes} A", "ripple frequency": "40 kHz"}
        found = judge(case({"position": row, "rail": {"ripple limit": "0.05 V"}}))
        ceilings = [
            float(item.value)
            for item in found.requirements
            if item.rule == "esr-rail" and isinstance(item.value, int | float)
        ]
        return _floor(found, "ripple_current_a"), min(ceilings, default=0.0)

    (low, wide), (high, narrow) = demands(current), demands(current + more)
    assert low <= high
    assert narrow <= wide


@FEW
@given(RATINGS, st.floats(200, 4000), st.floats(0, 4000), st.floats(1, 20), st.floats(0, 20))
def test_longer_use_never_asks_for_less(rated: float, hours: float, more: float, years: float, longer: float) -> None:
    def floors(h: float, y: float) -> tuple[float, ...]:
        sheets = {
            "position": {"kind": "wet aluminium", "volts": f"{rated} V"},
            "unit": {"hours a year": h, "years wanted": y},
        }
        found = judge(case(sheets))
        return _floor(found, "estimated_life_h"), _floor(found, "endurance_h")

    before, after = floors(hours, years), floors(hours + more, years + longer)
    assert all(a <= b * (1 + 1e-12) for a, b in zip(before, after, strict=True))


# Merging demands.


@FEW
@given(ROLES, KINDS, VALUES, RATINGS, st.integers(0, 10**6))
def test_the_order_of_demands_does_not_matter(role: Role, kind: Kind, value: float, rated: float, seed: int) -> None:
    row = {
        "role": role,
        "kind": kind,
        "capacitance": f"{value * 1e6} µF",
        "volts": f"{rated} V",
        "temperature": "85 °C",
    }
    requirements = list(judge(case({"position": row, "rail": {"volts": "12 V", "supply": "buck"}})).requirements)
    random.Random(seed).shuffle(requirements)
    straight, clashes = mark_governing(sorted(requirements, key=lambda item: str(item.reason)))
    shuffled, clashes_too = mark_governing(requirements)
    assert _governing(straight) == _governing(shuffled)
    assert {item.quantity for item in clashes} == {item.quantity for item in clashes_too}


def _governing(items: tuple[Requirement, ...]) -> set[tuple[object, ...]]:
    """The governing figures; of two sets of choices equally large either may govern, so their size stands for them."""
    return {
        (i.quantity, i.relation, i.strength, i.frequency_hz, len(i.value) if isinstance(i.value, tuple) else i.value)
        for i in items
        if i.governing and i.relation is not Relation.EXACTLY
    }


def test_a_contradiction_stops_and_names_both_rules(monkeypatch: pytest.MonkeyPatch) -> None:
    @rule("twice", "Twice the value", "our-judgement", "capacitance")
    def twice(of: Case, say: Say) -> Iterable[Outcome]:
        yield say.demand("capacitance_f", Relation.AT_LEAST, 20e-6, "F", [], "twice", "capacitance at least 20 µF")

    monkeypatch.setattr(judging, "RULES", (*judging.RULES, twice))
    row = {"kind": "wet aluminium", "role": "timing", "capacitance": "10 µF", "volts": "16 V", "condition": "leaked"}
    found = judge(case({"position": {**row, "pad A": "nearer U1", "net": "plus at A", "net by": "meter"}}))
    assert found.decision is Decision.STOP
    assert found.meant is Decision.REPLACE
    assert found.stops == (
        "Demands exclude each other: capacitance at least 20 µF against capacitance at most 11 µF "
        "(rules twice and capacitance-window).",
    )


# Ratings.


@given(st.floats(0.1, 700))
def test_the_next_rating_is_the_smallest_that_suffices(volts: float) -> None:
    found = next_rating(volts, all_ratings())
    enough = [rating for rating in all_ratings() if rating >= volts * (1 - 1e-9)]
    assert found == (min(enough) if enough else None)


@given(st.floats(0.1, 700), st.floats(0, 400))
def test_a_wish_raises_the_rating_only_to_a_common_one(must: float, more: float) -> None:
    found = sold_rating(must, must + more)
    if found is None:
        assert must > max(all_ratings())
        return
    assert found >= must * (1 - 1e-9)
    assert found in common_ratings() or must > max(common_ratings())
    wanted = [rating for rating in common_ratings() if rating >= (must + more) * (1 - 1e-9)]
    if wanted:
        assert found == wanted[0]


# Rows.

POSITIONS = st.builds(
    Position,
    key=st.builds(PositionKey, st.just("U"), st.sampled_from(["A", "B"]), st.sampled_from(["C1", "C2", "C3"])),
    marked=st.builds(
        Marked,
        capacitance_f=st.none() | VALUES,
        rated_voltage_v=st.none() | RATINGS,
        year=st.none() | st.integers(1950, 2020),
    ),
    body=st.builds(Body, kind=KINDS, mounting=st.sampled_from(list(Mounting)), diameter_mm=st.none() | st.just(8.0)),
    role=ROLES,
    conditions=st.sets(st.sampled_from(list(Condition)), max_size=2).map(frozenset),
    override=st.none() | st.sampled_from(list(Decision)),
)  # fmt: skip


@settings(max_examples=30, deadline=None)
@given(st.lists(POSITIONS, max_size=8), st.sampled_from(list(Stance)))
def test_every_row_is_judged_once_and_worked_once(positions: list[Position], stance: Stance) -> None:
    inspection = Inspection((), (Unit("U", stance=stance, boards=(Board("A"),)),), tuple(positions))
    made = plan(inspection, POLICY, PRESENT_YEAR)
    assert [item.position for item in made.judgements] == positions
    worked = [
        position
        for work in made.work
        for position in (
            *(item.position for group in (work.stops, work.steps, work.left_alone) for item in group),
            *work.do_not_fit,
        )
    ]  # fmt: skip
    assert Counter(map(repr, worked)) == Counter(map(repr, positions))


@settings(max_examples=30, deadline=None)
@given(st.lists(POSITIONS, max_size=8))
def test_what_is_meant_for_replacement_is_bought_or_stopped(positions: list[Position]) -> None:
    made = plan(Inspection((), (Unit("U"),), tuple(positions)), POLICY, PRESENT_YEAR)
    bought = Counter(key for line in made.lines for key in line.positions)
    for item in made.judgements:
        if item.meant is Decision.REPLACE:
            assert bought[item.key] or item.stops
        if item.position.polar and item.decision is Decision.REPLACE:
            assert item.orientation.text


# Orientation, over the whole vocabulary.

PLACES = [PlusAt.A, PlusAt.OTHER, PlusAt.NOT_SEEN]
SIGNS = [None, 12.0, -12.0]
FLIP = {PlusAt.A: PlusAt.OTHER, PlusAt.OTHER: PlusAt.A}


def _oriented(silk: PlusAt, found: PlusAt, net: PlusAt, meaning: MarkMeaning, volts: float | None) -> Case:
    position = Position(
        PositionKey("U", "B", "C1"),
        body=Body(Kind.WET_ALUMINIUM),
        polarity=Polarity("nearer U12", silk, found, net, NetBy.SCHEMATIC),
        role=Role.DECOUPLING,
    )
    rail = Rail("-12V", nominal_v=volts)
    return Case(position, Unit("U"), Board("B", mark_meaning=meaning), rail, POLICY, PRESENT_YEAR)


def _expected(silk: PlusAt, found: PlusAt, net: PlusAt, meaning: MarkMeaning, volts: float | None) -> PlusAt | None:
    """Where plus goes by the words of the requirement: the net, unless a witness contradicts it or it is not known."""
    marks = {PlusAt.MARK_A: PlusAt.A, PlusAt.MARK_OTHER: PlusAt.OTHER}
    shown: PlusAt | None = silk if silk in FLIP else None
    if silk in marks and meaning is not MarkMeaning.NOT_VERIFIED:
        shown = marks[silk] if meaning is MarkMeaning.PLUS else FLIP[marks[silk]]
    rails = {PlusAt.RAIL_A: PlusAt.A, PlusAt.RAIL_OTHER: PlusAt.OTHER}
    truth: PlusAt | None = net if net in FLIP else None
    if net in rails and volts is not None:
        truth = rails[net] if volts > 0 else FLIP[rails[net]]
    witnesses = [shown, found if found in FLIP else None]
    if truth is None or any(item not in (None, truth) for item in witnesses):
        return None
    return truth


def test_orientation_over_the_whole_vocabulary() -> None:
    silks = [*PLACES, PlusAt.MARK_A, PlusAt.MARK_OTHER]
    nets = [*PLACES, PlusAt.RAIL_A, PlusAt.RAIL_OTHER]
    for silk, found, net, meaning, volts in itertools.product(silks, PLACES, nets, MarkMeaning, SIGNS):
        said = orient(_oriented(silk, found, net, meaning, volts))
        expected = _expected(silk, found, net, meaning, volts)
        assert said.plus_at is expected
        assert (said.text is None) == (expected is None)
        if expected is None:
            assert said.conflicts or said.missing
        else:
            assert said.text is not None
            assert said.text.startswith(
                "Plus to the pad nearer U12" if expected is PlusAt.A else "Plus to the pad away"
            )
            assert ("is negative, so plus goes to ground" in said.text) == (volts is not None and volts < 0)


@pytest.mark.parametrize("net", [PlusAt.RAIL_A, PlusAt.RAIL_OTHER])
def test_a_negative_rail_turns_the_part_round_and_says_so(net: PlusAt) -> None:
    plus, minus = (
        orient(_oriented(PlusAt.NOT_SEEN, PlusAt.NOT_SEEN, net, MarkMeaning.PLUS, volts)) for volts in (12.0, -12.0)
    )
    assert plus.plus_at is not None
    assert minus.plus_at is FLIP[plus.plus_at]
    assert minus.text is not None
    assert "rail -12V is negative, so plus goes to ground" in minus.text
