"""Making safe: banks and stacks, assumed voltages, thresholds with sources, a resistor that survives."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.bench.constants import constant
from recap.bench.make_safe import make_safe
from recap.bench.stored_charge import body_for_discharge
from recap.model import Basis, Condition, Kind, Role, SupplyKind
from recap.model.bench import MakeSafe
from recap.sources import bibliography
from tests.bench_inspection import inspection, position, rail

RESERVOIR = {"role": Role.RESERVOIR}


def whole(*positions: object, **given: object) -> MakeSafe:
    return make_safe(inspection(*positions, **given))[0]  # type: ignore[arg-type]


def test_what_stands_on_one_rail_is_summed_and_charged_to_the_highest_reading() -> None:
    found = whole(
        position("PSU/C1", 100e-6, 400.0, rail="HT", read_v=325.0, **RESERVOIR),
        position("PSU/C2", 47e-6, 450.0, rail="HT", role=Role.DECOUPLING),
        rails=(rail("HT", 320.0),),
    )
    (bank,) = found.banks
    assert (bank.arrangement, bank.basis) == ("2 in parallel", Basis.MEASURED)
    assert bank.capacitance_f == pytest.approx(147e-6)
    assert bank.energy_j == pytest.approx(0.5 * 147e-6 * 325**2)
    assert found.worst_voltage_v == 325.0
    assert "measured 325 V" in bank.voltage_why


def test_a_quantity_counts_as_so_many_in_parallel() -> None:
    (bank,) = whole(position("PSU/C1", 10e-6, 63.0, quantity=3)).banks
    assert (bank.arrangement, bank.capacitance_f) == ("3 in parallel", pytest.approx(30e-6))


def test_the_rated_voltage_is_assumed_where_none_was_measured_and_said_so() -> None:
    (bank,) = whole(position("PSU/C1", 470e-6, 400.0, role=Role.PRIMARY_RESERVOIR)).banks
    assert bank.voltage_v == 400.0
    assert bank.basis is Basis.ASSUMED
    assert bank.voltage_why == "rated voltage assumed, not measured"
    assert bank.energy_j == pytest.approx(37.6)


def test_an_undescribed_rail_takes_the_highest_rating_a_described_one_the_lowest_it_does_not_exceed() -> None:
    parts = (
        position("PSU/C1", 100e-6, 10.0, rail="+5V", role=Role.DECOUPLING),
        position("PSU/C2", 100e-6, 50.0, rail="+5V", role=Role.DECOUPLING),
    )
    assert whole(*parts, rails=(rail("+5V", None),)).worst_voltage_v == 50.0
    assert whole(*parts, rails=(rail("+5V", 5.0, SupplyKind.LINEAR_REGULATED),)).worst_voltage_v == 10.0


def test_a_doublers_reservoirs_are_stacked() -> None:
    found = whole(
        position("PSU/C1", 220e-6, 200.0, rail="HT", **RESERVOIR),
        position("PSU/C2", 220e-6, 200.0, rail="HT", **RESERVOIR),
        position("PSU/C3", 1e-6, 450.0, rail="HT", role=Role.DECOUPLING, kind=Kind.FILM),
        rails=(rail("HT", 320.0, SupplyKind.VOLTAGE_DOUBLER),),
    )
    stack = found.banks[0]
    assert stack.arrangement == "2 stacked (voltage doubler)"
    assert (stack.capacitance_f, stack.voltage_v) == (pytest.approx(110e-6), 400.0)
    assert stack.energy_j == pytest.approx(2 * 0.5 * 220e-6 * 200**2)
    assert "across each of PSU/C1 and PSU/C2" in stack.measure_at


def test_primary_reservoirs_without_a_rail_may_be_stacked() -> None:
    found = whole(
        position("PSU/C1", 470e-6, 200.0, role=Role.PRIMARY_RESERVOIR),
        position("PSU/C2", 470e-6, 200.0, role=Role.PRIMARY_RESERVOIR),
    )
    assert any("PSU/C1 and PSU/C2 may be stacked" in text and "400 V" in text for text in found.between_rails)


def test_across_the_mains_the_crest_of_a_high_mains_counts() -> None:
    (bank,) = whole(
        position("PSU/C1", 1e-7, 250.0, ac=True, kind=Kind.FILM, role=Role.MAINS_SAFETY), mains_voltage_v=230.0
    ).banks
    assert bank.voltage_v == pytest.approx(230 * math.sqrt(2) * 1.1)


def test_parts_beside_a_rail_and_absent_ones_are_not_in_its_bank() -> None:
    found = whole(
        position("PSU/C1", 100e-6, 25.0, rail="+12V", role=Role.DECOUPLING),
        position("PSU/C2", 1e-6, 50.0, rail="+12V", role=Role.COUPLING),
        position("PSU/C3", 1e-3, 50.0, rail="+12V", conditions=frozenset({Condition.MISSING})),
        rails=(rail("+12V", 12.0, SupplyKind.LINEAR_REGULATED),),
    )
    assert sorted(bank.name for bank in found.banks) == ["+12V (PSU/C1)", "PSU/C2"]


def test_every_board_has_its_own_part_of_the_rail() -> None:
    found = make_safe(
        inspection(
            position("PSU/C1", 100e-6, 25.0, rail="+12V", role=Role.DECOUPLING, read_v=12.1),
            position("CPU/C1", 47e-6, 25.0, rail="+12V", role=Role.DECOUPLING),
            rails=(rail("+12V", 12.0),),
        )
    )
    assert [each.board for each in found] == ["", "PSU", "CPU"]
    assert [each.banks[0].capacitance_f for each in found] == pytest.approx([147e-6, 100e-6, 47e-6])
    assert found[2].banks[0].voltage_v == 12.1, "the reading on the other board counts for the rail"


def test_what_cannot_be_worked_out_is_named_and_measured_all_the_same() -> None:
    found = whole(position("PSU/C1", None, 400.0), position("PSU/C2", 1e-6, None))
    assert [(str(key), missing) for key, missing in found.not_known] == [
        ("Quern, invented/PSU/C1", "capacitance"),
        ("Quern, invented/PSU/C2", "volts"),
    ]
    assert any("may be charged too" in step for step in found.steps)


def test_thresholds_are_passed_by_position_and_by_bank_with_known_sources() -> None:
    parts = [position(f"PSU/C{n}", 60e-6, 400.0, rail="HT", **RESERVOIR) for n in (1, 2, 3)]
    (bank,) = whole(*parts, rails=(rail("HT", None),)).banks
    alone = {threshold.id for threshold in bank.members[0].passed}
    together = {threshold.id for threshold in bank.passed}
    assert "lbl-shock" in together, "180 µF at 400 V hold 14.4 J"
    assert "lbl-shock" not in alone, "60 µF hold 4.8 J"
    assert "nfpa-70e-high" in alone
    assert all(threshold.source in bibliography() for threshold in bank.passed)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(st.floats(1e-7, 1e-2), st.floats(50.0, 500.0)), min_size=1, max_size=6))
def test_the_common_resistor_bears_every_charge(charges: list[tuple[float, float]]) -> None:
    found = whole(*(position(f"PSU/C{n}", c, v) for n, (c, v) in enumerate(charges)))
    common = found.common_resistor
    if common is None:
        return
    for capacitance_f, voltage_v in charges:
        if voltage_v > constant("discharge_to_v"):
            body = body_for_discharge(capacitance_f, voltage_v, common.resistance_ohm)
            assert body is not None
            assert body.rating_w <= common.rating_w


def test_times_rebound_and_waiting() -> None:
    (bank,) = whole(position("PSU/C1", 470e-6, 400.0)).banks
    own = bank.discharge
    assert [to for to, _ in own.times_s] == [60.0, 50.0, 10.0]
    tau = 470e-6 * own.resistance_ohm
    assert [time for _, time in own.times_s] == pytest.approx([tau * math.log(400 / v) for v in (60, 50, 10)])
    assert own.rebound_v == pytest.approx((40.0, 60.0))
    assert own.hold_s >= 5 * tau


def test_nothing_is_ever_called_safe() -> None:
    found = whole(position("PSU/C1", 470e-6, 400.0), position("PSU/C2", 1e-9, 5.0))
    steps = " ".join(found.steps).lower()
    assert "safe" not in steps
    assert "measure" in steps
    assert "says that anything is safe" in found.cautions[0]
    assert "flash" in found.out_of_scope[0]
    assert "local electrical code" in " ".join(found.cautions)


def test_plus_and_minus_rails_add_up() -> None:
    found = whole(
        position("PSU/C1", 1e-3, 50.0, rail="+40", read_v=41.0, **RESERVOIR),
        position("PSU/C2", 1e-3, 50.0, rail="-40", read_v=-42.0, **RESERVOIR),
        rails=(rail("+40", 40.0), rail("-40", -40.0)),
    )
    assert found.between_rails == ("+40 to -40: up to 83 V",)


def test_small_charges_stand_in_one_line_by_voltage_and_the_low_ones_apart() -> None:
    found = whole(
        position("PSU/C1", 470e-9, 63.0), position("PSU/C2", 1e-6, 400.0), position("PSU/C3", 1e-6, 400.0),
        position("PSU/C4", 1e-6, 50.0), position("PSU/C5", 1e-6, 16.0),
    )  # fmt: skip
    high, low = (step for step in found.steps if step.startswith("At most 250 mJ"))
    assert high.endswith("400 V: PSU/C2, PSU/C3; 63 V: PSU/C1.")
    assert low.endswith("50 V: PSU/C4.")
    assert "C5" not in " ".join(found.steps), "reaches no limit"
