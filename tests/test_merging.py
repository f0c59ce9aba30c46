"""Order lines: every position is met, no fewer lines would do, nothing is strained, and most get what they ask for."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.buying.candidates import Can, Candidate, Limits, StatedAt, Want, serves, usual_cans
from recap.buying.lines import order_lines, spares
from recap.model import Body, Decision, Judgement, OrderLine, Position, PositionKey, Role, Specification
from recap.policy import read_policy
from recap.rules.reference import common_ratings

POLICY = read_policy()
LIMITS = Limits.of(POLICY)
SPACINGS = (1.5, 2.0, 2.5, 3.5, 5.0, 7.5, 10.0)
DIAMETERS = (4.0, 5.0, 6.3, 8.0, 10.0, 12.5, 13.0, 16.0, 18.0, 20.0, 22.0)
WET = ("wet aluminium",)

SPECIFICATIONS = st.builds(
    Specification,
    capacitance_f=st.sampled_from([33e-6, 47e-6, 68e-6, 100e-6]),
    capacitance_window_f=st.just((0.0, 0.0)),
    rated_voltage_v=st.sampled_from([10.0, 16.0, 25.0, 63.0]),
    kinds=st.sampled_from([WET, ("wet aluminium", "hybrid")]),
    mounting=st.just("radial"),
    endurance_h=st.sampled_from([None, 2000.0, 5000.0]),
    lead_spacings_mm=st.sampled_from([(), (2.5, 2.0, 3.5), (2.0, 2.5), (5.0, 3.5), (3.5, 2.5, 5.0)]),
    diameter_max_mm=st.sampled_from([None, 5.0, 8.0]),
    height_max_mm=st.sampled_from([None, 9.0, 14.0]),
    ripple_current_a=st.sampled_from([None, 0.1, 0.3]),
    esr_max_ohm=st.sampled_from([0.5, 2.0]),
    esr_frequency_hz=st.sampled_from([120.0, 100e3]),
    esr_min_ohm=st.sampled_from([None, 0.1, 1.0]),
)
WIDTHS, HELD = st.sampled_from([0.0, 0.1, 0.2]), st.booleans()


def _sound(spec: Specification, width: float, held: bool) -> tuple[Specification, bool]:
    window = (spec.capacitance_f * (1 - width), spec.capacitance_f * (1 + 4 * width))
    floor = spec.esr_min_ohm if spec.esr_max_ohm is not None and (spec.esr_min_ohm or 0) < spec.esr_max_ohm else None
    made = replace(
        spec, capacitance_window_f=window, esr_min_ohm=floor, esr_min_frequency_hz=100e3 if floor else None,
        ripple_frequency_hz=120.0 if spec.ripple_current_a else None,
    )  # fmt: skip
    return made, held


WANTS = st.builds(_sound, SPECIFICATIONS, WIDTHS, HELD)


def judgements(wants: Iterable[tuple[Specification, bool]]) -> list[Judgement]:
    return [
        Judgement(
            Position(PositionKey("U", "B", f"C{number}"), role=Role.TIMING if held else Role.DECOUPLING),
            Decision.REPLACE, Decision.REPLACE, (), 1.0, specification=spec,
        )
        for number, (spec, held) in enumerate(wants, 1)
    ]  # fmt: skip


def ordered(*wants: Specification, held: bool = False) -> tuple[OrderLine, ...]:
    return order_lines(judgements([(spec, held) for spec in wants]), POLICY, (Decision.REPLACE,))


def spec(value_uf: float, volts: float, **more: object) -> Specification:
    wide = (value_uf * 0.8e-6, value_uf * 3e-6)
    return Specification(value_uf * 1e-6, wide, volts, WET, "radial", **more)  # type: ignore[arg-type]


@settings(max_examples=25, deadline=None)
@given(st.lists(WANTS, min_size=1, max_size=6))
def test_a_line_satisfies_every_member(wants: list[tuple[Specification, bool]]) -> None:
    items = judgements(wants)
    lines = order_lines(items, POLICY, (Decision.REPLACE,))
    assert sorted(key for line in lines for key in line.positions) == sorted(item.key for item in items)
    for line in lines:
        for item, (asked, held) in zip(items, wants, strict=True):
            if item.key in line.positions:
                _assert_meets(line.specification, asked)
                most = asked.capacitance_f * (1 if held else 1.5)
                assert line.specification.capacitance_f <= most * (1 + 1e-9)


def _assert_meets(bought: Specification, asked: Specification) -> None:
    low, high = asked.capacitance_window_f
    assert low * (1 - 1e-9) <= bought.capacitance_f <= high * (1 + 1e-9)
    assert bought.rated_voltage_v >= asked.rated_voltage_v
    assert set(bought.kinds) <= set(asked.kinds)
    assert set(bought.lead_spacings_mm) <= set(asked.lead_spacings_mm)
    for name in ("endurance_h", "ripple_current_a", "esr_min_ohm"):
        wanted = getattr(asked, name)
        assert wanted is None or getattr(bought, name) >= wanted
    for name in ("esr_max_ohm", "height_max_mm", "diameter_max_mm"):
        wanted = getattr(asked, name)
        assert wanted is None or getattr(bought, name) <= wanted
    for name in ("ripple_frequency_hz", "esr_frequency_hz", "esr_min_frequency_hz", "endurance_temperature_c"):
        wanted = getattr(asked, name)
        assert wanted is None or getattr(bought, name) == wanted
    if bought.esr_min_ohm and bought.esr_max_ohm and bought.esr_min_frequency_hz == bought.esr_frequency_hz:
        assert bought.esr_min_ohm <= bought.esr_max_ohm


@settings(max_examples=25, deadline=None)
@given(st.lists(WANTS, min_size=1, max_size=5))
def test_no_fewer_lines_would_do_and_none_would_change_less(wants: list[tuple[Specification, bool]]) -> None:
    items = judgements(wants)
    lines = order_lines(items, POLICY, (Decision.REPLACE,))
    count, change = _best(wants)
    assert len(lines) == count
    asked = {item.key: item.specification for item in items}
    changes = [_change(line.specification, asked[key]) for line in lines for key in line.positions]  # type: ignore[arg-type]
    assert sum(changes) == pytest.approx(change, abs=1e-6)


def _change(bought: Specification, asked: Specification) -> float:
    formed = bool(asked.lead_spacings_mm) and bought.lead_spacings_mm[0] != asked.lead_spacings_mm[0]
    value = abs(math.log(bought.capacitance_f / asked.capacitance_f))
    return value + math.log(bought.rated_voltage_v / asked.rated_voltage_v) + 0.5 * formed


def _best(wants: list[tuple[Specification, bool]]) -> tuple[int, float]:
    """Return the fewest groups that one part each can serve, and the least change with so many, by trying them all."""
    for count in range(1, len(wants) + 1):
        found = math.inf
        for assigned in itertools.product(range(count), repeat=len(wants)):
            groups = [[w for w, group in zip(wants, assigned, strict=True) if group == n] for n in range(count)]
            if all(groups):
                found = min(found, sum(_least_change(group) for group in groups))
        if found < math.inf:
            return count, found
    raise AssertionError("each alone can be served")


E6 = [value * 1e-6 for value in (10, 15, 22, 33, 47, 68, 100, 150, 220, 330)]


def _least_change(group: list[tuple[Specification, bool]]) -> float:
    """Return the least change with which one part serves all, infinite where none does; without the code under test."""
    specs = [asked for asked, _ in group]
    if not _stated_alike(specs):
        return math.inf
    rating = max(asked.rated_voltage_v for asked in specs)
    steps = [sum(1 for r in common_ratings() if asked.rated_voltage_v < r <= rating) for asked in specs]
    if max(steps) > LIMITS.voltage_steps:
        return math.inf
    found = math.inf
    for value in {asked.capacitance_f for asked in specs} | set(E6):
        if not all(_value_suits(value, *want) for want in group) or not _goes_in(value, rating, specs):
            continue
        for pitch in {_drilled(asked) for asked in specs}:
            if all(_pitch_suits(pitch, asked) for asked in specs):
                line = replace(
                    specs[0], capacitance_f=value, rated_voltage_v=rating,
                    lead_spacings_mm=() if pitch is None else (pitch,),
                )  # fmt: skip
                found = min(found, sum(_change(line, asked) for asked in specs))
    return found


def _value_suits(value: float, asked: Specification, held: bool) -> bool:
    if held:
        return math.isclose(value, asked.capacitance_f)
    low, high = asked.capacitance_window_f
    return low * (1 - 1e-9) <= value <= min(high, asked.capacitance_f * 1.5) * (1 + 1e-9)


def _drilled(asked: Specification) -> float | None:
    return asked.lead_spacings_mm[0] if asked.lead_spacings_mm else None


def _pitch_suits(pitch: float | None, asked: Specification) -> bool:
    drilled = _drilled(asked)
    if pitch is None or drilled is None:
        return pitch is drilled
    near = abs(SPACINGS.index(pitch) - SPACINGS.index(drilled)) <= 1
    return near and pitch in asked.lead_spacings_mm


def _goes_in(value: float, rating: float, specs: list[Specification]) -> bool:
    """The room that is left for all takes a usual can, or is all that a position has that asks for as much itself."""
    widest = min(asked.diameter_max_mm or math.inf for asked in specs)
    tallest = min(asked.height_max_mm or math.inf for asked in specs)
    for asked in specs:
        own = asked.diameter_max_mm or math.inf, asked.height_max_mm or math.inf
        enough = value * rating <= asked.capacitance_f * asked.rated_voltage_v * (1 + 1e-9)
        if enough and own == (widest, tallest):
            return True
    volume_mm3 = max(value * rating * 1000 / 10, 0.2) * 1000
    for diameter in DIAMETERS:
        length = max(volume_mm3 / (math.pi / 4 * diameter**2), 11.0, 1.25 * diameter)
        if length <= 2.5 * diameter and diameter <= widest and length <= tallest:
            return True
    return False


def _stated_alike(specs: list[Specification]) -> bool:
    for name in ("ripple_frequency_hz", "esr_frequency_hz", "esr_min_frequency_hz"):
        if len({getattr(asked, name) for asked in specs} - {None}) > 1:
            return False
    floor = max((asked.esr_min_ohm or 0.0 for asked in specs), default=0.0)
    ceilings = [s.esr_max_ohm for s in specs if s.esr_frequency_hz == 100e3 and s.esr_max_ohm is not None]
    return floor <= min(ceilings, default=floor)


def test_serves_is_what_the_cover_goes_by() -> None:
    asked = Specification(47e-6, (40e-6, 90e-6), 16.0, WET, "radial", lead_spacings_mm=(2.5, 2.0, 5.0))
    want = Want(asked)
    assert serves(Candidate(47e-6, 16.0, 2.5), want, LIMITS)
    assert serves(Candidate(70e-6, 16.0, 2.5), want, LIMITS)
    assert not serves(Candidate(71e-6, 16.0, 2.5), want, LIMITS)
    assert not serves(Candidate(47e-6, 10.0, 2.5), want, LIMITS)
    assert not serves(Candidate(47e-6, 16.0, None), want, LIMITS)
    assert serves(Candidate(47e-6, 63.0, 2.0), want, LIMITS)
    assert not serves(Candidate(47e-6, 63.0, 2.0), want, Limits(3, 0.5))
    assert not serves(Candidate(47e-6, 16.0, 5.0), want, LIMITS), "two steps of the grid away"
    with_floor = StatedAt(esr_min_ohm=0.1, esr_min_frequency_hz=100e3)
    assert serves(Candidate(47e-6, 16.0, 2.5, with_floor), want, LIMITS)
    held = replace(want, held=True)
    assert serves(Candidate(47e-6, 16.0, 2.5), held, LIMITS)
    assert not serves(Candidate(56e-6, 16.0, 2.5), held, LIMITS)
    low = Want(replace(asked, height_max_mm=11.0))
    assert serves(Candidate(47e-6, 16.0, 2.5, can=Can(5.0, 11.0)), low, LIMITS)
    assert not serves(Candidate(47e-6, 16.0, 2.5, can=Can(5.0, 12.0)), low, LIMITS)


def test_a_common_value_in_two_windows_saves_a_line() -> None:
    low = Specification(56e-6, (50e-6, 70e-6), 16.0, WET, "radial")
    high = Specification(82e-6, (65e-6, 100e-6), 16.0, WET, "radial")
    assert [line.specification.capacitance_f for line in ordered(low, high)] == [pytest.approx(68e-6)]


def test_a_value_is_not_raised_by_more_than_half() -> None:
    assert len(ordered(spec(33, 16), spec(47, 16))) == 1
    assert len(ordered(spec(22, 16), spec(47, 16))) == 2


def test_timing_and_coupling_keep_their_value() -> None:
    assert len(ordered(spec(33, 16), spec(47, 16), held=True)) == 2
    assert len(ordered(spec(47, 16), spec(47, 25), held=True)) == 1


def test_most_get_what_they_ask_for() -> None:
    lines = ordered(spec(47, 16), spec(33, 16), spec(33, 16.0, endurance_h=5000.0), spec(33, 25))
    assert [line.specification.capacitance_f for line in lines] == [pytest.approx(47e-6)], "33 is below its window"
    wide = [replace(each, capacitance_window_f=(20e-6, 99e-6)) for each in (spec(47, 16), spec(33, 16), spec(33, 25))]
    assert [line.specification.capacitance_f for line in ordered(*wide)] == [pytest.approx(33e-6)]


def test_a_tight_room_is_not_spread_over_a_charge_that_needs_more() -> None:
    low, large = spec(220, 16, height_max_mm=11.0), spec(330, 35, diameter_max_mm=10.0)
    assert len(ordered(low, large)) == 2
    assert len(ordered(replace(low, height_max_mm=20.0), large)) == 1


def test_a_position_tighter_than_any_usual_can_still_gets_its_line() -> None:
    tight = spec(1000, 35, diameter_max_mm=8.0, height_max_mm=9.0)
    assert len(ordered(tight, replace(tight, endurance_h=5000.0))) == 1


def test_leads_are_formed_by_one_step_and_only_to_save_a_line() -> None:
    narrow, middle, wide = (
        spec(47, 16, lead_spacings_mm=pitches) for pitches in ((2.5, 3.5, 5.0), (3.5, 2.5, 5.0), (5.0, 3.5, 2.5))
    )
    assert len(ordered(narrow, middle)) == 1
    assert len(ordered(narrow, wide)) == 2, "two steps, and no pitch that suits nobody straight"
    three = ordered(narrow, middle, wide)
    assert [line.specification.lead_spacings_mm[0] for line in three] == [3.5]


def test_axial_leads_bend_to_any_holes_that_the_length_leaves() -> None:
    one = replace(spec(10, 63), mounting="axial", lead_spacings_mm=(25.0,), height_max_mm=20.0)
    two = replace(one, lead_spacings_mm=(30.0,), height_max_mm=25.0)
    (line,) = ordered(one, two)
    assert (line.specification.lead_spacings_mm, line.specification.height_max_mm) == ((), 20.0)


def test_usual_cans_grow_with_the_charge() -> None:
    small, large = usual_cans(10e-6, 16.0, spec(10, 16)), usual_cans(2200e-6, 25.0, spec(2200, 25))
    assert Can(5.0, 11.0) in small
    assert min(can.diameter_mm for can in large) >= 13.0
    assert usual_cans(1e-6, 16.0, replace(spec(1, 16), mounting="chip")) == []


def test_spares_go_by_the_size_of_what_comes_out() -> None:
    assert [spares(needed, diameter, POLICY) for needed, diameter in ((1, 5.0), (14, 5.0), (3, 16.0), (3, None))] == [
        1, 2, 0, 0,
    ]  # fmt: skip
    wide = spec(47, 16, diameter_max_mm=14.0)
    item = replace(
        judgements([(wide, False)])[0], position=Position(PositionKey("U", "B", "C1"), body=Body(diameter_mm=8.0))
    )
    (line,) = order_lines([item], POLICY, (Decision.REPLACE,))
    assert (line.needed, line.spares) == (1, 1)
