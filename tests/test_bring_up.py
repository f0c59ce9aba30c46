"""Bring-up as data: what applies, loads that bear their power, lamps with every operating point, rails, refit order."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.bench.bring_up import bring_up
from recap.bench.drawer import best_combination, read_drawer
from recap.bench.loads import load_resistor, rail_load
from recap.bench.rails import expected_frequency, light_window, loaded_window, ripple_limit, worst_rail
from recap.model import Basis, Board, Downstream, Kind, Rail, Role, SupplyKind, Tristate, Unit
from recap.model.bench import BringUp
from recap.units import NotAQuantity
from tests.bench_inspection import inspection, judgements, position, rail

UNIT_230 = {"mains_voltage_v": 230.0, "mains_frequency_hz": 50.0}


def first_power(*positions: Any, **given: Any) -> BringUp:
    found = inspection(*positions, **given)
    return bring_up(found, judgements(found))[0]


class TestIsolationAndChecks:
    @pytest.mark.parametrize(
        ("isolated", "words"), [(Tristate.NO, "is not isolated"), (Tristate.UNKNOWN, "is not known to be isolated")]
    )
    def test_isolating_transformer_first_unless_the_chassis_is_known_isolated(
        self, isolated: Tristate, words: str
    ) -> None:
        found = first_power(chassis_isolated=isolated)
        assert "Isolating transformer first" in found.isolation[0]
        assert words in found.isolation[0]

    def test_no_transformer_for_an_isolated_chassis_but_the_clip_rule_stays(self) -> None:
        found = first_power(chassis_isolated=Tristate.YES)
        assert "isolated secondary only; its earth is never lifted" in found.isolation[0]

    def test_mains_leakage_where_the_mains_side_was_touched(self) -> None:
        x = position("PSU/C1", 1e-7, 250.0, ac=True, kind=Kind.METALLISED_PAPER, role=Role.MAINS_SAFETY)
        assert {"insulation-cold", "leakage-hot"} <= {check.id for check in first_power(x).checks}
        plain = position("PSU/C1", 1e-5, 25.0, role=Role.DECOUPLING)
        ids = {check.id for check in first_power(plain).checks}
        assert "leakage-hot" not in ids
        assert {"fuse", "bridges", "boards-out", "earth-continuity"} <= ids

    def test_an_hour_of_attended_soak(self) -> None:
        minutes = next(check for check in first_power().soak if check.id == "minutes")
        assert minutes.limit is not None
        assert minutes.limit.low == 60.0


class TestLoads:
    # V/I, and the resistor at half its rating or less.
    @pytest.mark.parametrize(
        ("rail_v", "current_a", "ohm", "rating"),
        [(5.0, 1.0, 5.1, 10.0), (12.0, 0.4, 30.0, 10.0), (-12.0, 0.4, 30.0, 10.0), (12.0, 1.0, 12.0, 25.0)],
    )
    def test_preferred_resistor_with_margin(self, rail_v: float, current_a: float, ohm: float, rating: float) -> None:
        found = load_resistor(rail_v, current_a)
        assert (found.preferred_ohm, found.rating_w) == (ohm, rating)

    @settings(max_examples=40, deadline=None)
    @given(st.floats(1.0, 400.0), st.floats(0.01, 20.0))
    def test_no_more_than_the_current_and_half_the_rating(self, rail_v: float, current_a: float) -> None:
        full = load_resistor(rail_v, current_a)
        least = load_resistor(rail_v, current_a, at_least=True)
        assert full.current_a <= current_a * (1 + 1e-9)
        assert least.current_a >= current_a * (1 - 1e-9)
        if full.rating_w is not None:
            assert full.power_w * 2 <= full.rating_w * (1 + 1e-9)

    def test_a_switching_rail_gets_a_least_load_even_if_none_is_known(self) -> None:
        switching = rail_load(Rail("a", nominal_v=5.0, full_load_a=5.0, supply=SupplyKind.FORWARD))
        assert switching.least is not None
        assert switching.least_assumed
        linear = rail_load(Rail("a", nominal_v=5.0, full_load_a=5.0, supply=SupplyKind.LINEAR_REGULATED))
        assert linear.least is None

    def test_without_a_load_it_says_what_is_missing(self) -> None:
        assert rail_load(Rail("a", nominal_v=5.0)).missing == ("full load A",)

    def test_a_lamp_as_a_load_names_its_surge_and_why_a_supply_may_not_start(self) -> None:
        lamp = rail_load(Rail("a", nominal_v=12.0, full_load_a=2.0)).lamp
        assert lamp is not None
        assert lamp.surge_a == (20.0, 30.0)
        assert "may never start" in lamp.caution

    @pytest.mark.parametrize(
        ("drawer", "expected"),
        [
            ("2 x 10ohm 5W", "2 × 10 Ω 5 W in series: 250 mA"),
            ("10ohm 1W", None),
            ("1 x 10ohm 5W", None),
            ("22ohm 5W, 18ohm 5W", "22 Ω 5 W: 227 mA"),
            ("3 x 60ohm 2W", "3 × 60 Ω 2 W in parallel: 250 mA"),
        ],
    )
    def test_from_the_parts_drawer(self, drawer: str, expected: str | None) -> None:
        found = best_combination(5.0, 0.25, read_drawer(drawer))
        assert (str(found) if found else None) == expected

    @pytest.mark.parametrize("text", ["ten ohms", "10ohm", "0ohm 5W", "10ohm -5W"])
    def test_a_drawer_that_cannot_be_read(self, text: str) -> None:
        with pytest.raises(NotAQuantity):
            read_drawer(text)


class TestLamp:
    def supply(self, kind: SupplyKind, **more: Any) -> BringUp:
        made = rail("+12V", 12.0, kind, made_on="PSU", feeds=("CPU",), full_load_a=2.0, **more)
        return first_power(position("PSU/C1", 1e-3, 25.0, rail="+12V"), rails=(made,), **UNIT_230)

    def test_switching_brief_check_at_least_load_no_ramp(self) -> None:
        limiter = self.supply(SupplyKind.FORWARD).limiter
        assert limiter.constant_power
        assert [name for name, _ in limiter.expected_w] == ["least load"]
        assert any("No dwelling and no slow ramp" in note for note in limiter.notes)
        for lamp in limiter.lamps:
            assert len(lamp.points) in (0, 2)
            assert bool(lamp.points) != bool(lamp.no_point)
            if lamp.points:
                assert [point.stable for point in lamp.points] == [True, False]

    def test_linear_slow_ramp_one_point_for_each_load(self) -> None:
        found = self.supply(SupplyKind.LINEAR_REGULATED)
        assert not found.limiter.constant_power
        assert any("slow ramp" in note for note in found.limiter.notes)
        assert all(len(lamp.points) == 1 for lamp in found.limiter.lamps)
        assert any("variable transformer at zero" in step for step in found.power_up)

    def test_no_isolation_is_said(self) -> None:
        assert any("no isolation" in note for note in self.supply(SupplyKind.FORWARD).limiter.notes)

    def test_without_the_mains_voltage_it_says_so(self) -> None:
        assert "the mains voltage of the unit" in first_power().limiter.missing


class TestRails:
    def test_the_rails_own_figures_come_first(self) -> None:
        own = Rail("-12V", nominal_v=-12.0, tolerance=0.1, ripple_limit_v=0.05, supply=SupplyKind.LINEAR_REGULATED)
        window, ripple = loaded_window(own), ripple_limit(own)
        assert window is not None
        assert ripple is not None
        assert (window.low, window.high, window.basis) == (pytest.approx(-13.2), pytest.approx(-10.8), Basis.DOCUMENTED)
        assert (ripple.high, ripple.basis) == (0.05, Basis.DOCUMENTED)

    def test_a_usual_rail_borrows_the_published_limits_as_an_assumption(self) -> None:
        usual = Rail("+5", nominal_v=5.0, supply=SupplyKind.FORWARD)
        window, ripple = loaded_window(usual), ripple_limit(usual)
        assert window is not None
        assert ripple is not None
        assert (window.low, window.high, window.source) == (4.75, 5.25, "intel-atx-dg-0.9")
        assert (ripple.high, ripple.basis) == (0.05, Basis.ASSUMED)

    def test_an_unregulated_rail_may_rise_without_load(self) -> None:
        raw = Rail("+RAW", nominal_v=21.0, supply=SupplyKind.BRIDGE, secondary_v=16.5)
        loaded, light = loaded_window(raw), light_window(raw, Unit("u"))
        assert loaded is not None
        assert light is not None
        assert loaded.high == pytest.approx(23.1)
        assert light.high == pytest.approx(16.5 * 2**0.5 * 1.1 * 1.08), "high mains, and the winding rises unloaded"
        from_mains = replace(raw, secondary_v=230.0, nominal_v=310.0)
        assert worst_rail(from_mains, Unit("u", mains_voltage_v=230.0)) == pytest.approx(230 * 2**0.5 * 1.1)

    def test_without_a_nominal_voltage_there_is_no_window(self) -> None:
        assert loaded_window(Rail("VCC")) is None
        assert ripple_limit(Rail("VCC")) is None

    @pytest.mark.parametrize(
        ("supply", "hertz"),
        [(SupplyKind.BRIDGE, 100.0), (SupplyKind.CENTRE_TAP, 100.0), (SupplyKind.HALF_WAVE, 50.0),
         (SupplyKind.VOLTAGE_DOUBLER, 100.0), (SupplyKind.FORWARD, None), (SupplyKind.UNKNOWN, None)],
    )  # fmt: skip
    def test_frequency_to_expect(self, supply: SupplyKind, hertz: float | None) -> None:
        assert expected_frequency(Rail("r", supply=supply), Unit("u", mains_frequency_hz=50.0))[0] == hertz

    def test_every_rail_is_proven_negative_high_and_live_ones_too(self) -> None:
        rails = (
            rail("HT", 330.0, SupplyKind.BRIDGE, made_on="PSU", feeds=("PSU",), other_side="primary minus (live)"),
            rail("-12V", -12.0, SupplyKind.LINEAR_REGULATED, made_on="PSU", feeds=("CPU",)),
            rail("-5V", -5.0, SupplyKind.LINEAR_REGULATED, made_on="CPU", feeds=("CPU",)),
        )
        found = first_power(position("PSU/C1", 1e-3, 25.0), position("CPU/C1", 1e-6, 25.0), rails=rails)
        by_name = {each.name: each for each in found.rails}
        assert list(by_name) == ["HT", "-12V", "-5V"]
        assert by_name["HT"].live
        assert "never the oscilloscope's clip without isolation" in by_name["HT"].notes[0]
        assert by_name["-12V"].states == ("least load, cold", "full load, cold", "full load, warm", "after the soak")
        assert by_name["-5V"].states == ("board in, cold", "board in, warm")
        assert any(pattern.looks == "mains frequency" for pattern in by_name["HT"].patterns)

    def test_a_meter_alone_is_ruled_out_and_the_probe_is_described(self) -> None:
        method = " ".join(first_power().method)
        assert "A meter alone does not pass a rail" in method
        assert "bandwidth limit 20 MHz" in method


class TestReforming:
    def test_only_wet_aluminium_from_zero_with_a_small_current(self) -> None:
        wet = position("PSU/C1", 4700e-6, 40.0, role=Role.RESERVOIR)
        found = first_power(wet)
        for job in found.reforms:
            assert job.stages[0].voltage_v == 0.0
            assert job.current_limit_a <= 5e-3
            assert job.voltage_v**2 / job.resistance_ohm == pytest.approx(job.shorted_power_w)
            assert job.rating_w is not None
            assert job.rating_w >= 2 * job.shorted_power_w

    def test_a_kept_reservoir_that_leaks_little_is_left_in_peace(self) -> None:
        from dataclasses import replace

        from recap.bench.reforming import reform_jobs
        from recap.model import Decision, Measured

        found = inspection(position("PSU/C1", 220e-6, 400.0, role=Role.PRIMARY_RESERVOIR))
        kept = replace(judgements(found)[0], decision=Decision.KEEP)
        jobs, _ = reform_jobs([kept])
        assert len(jobs) == 1
        assert not jobs[0].in_work_order
        tight = replace(kept, position=replace(kept.position, measured=Measured(in_circuit=False, leakage_a=400e-6)))
        assert reform_jobs([tight]) == ((), ())

    def test_other_kinds_are_named_with_why(self) -> None:
        from dataclasses import replace

        from recap.bench.reforming import reform_jobs
        from recap.model import Decision

        found = inspection(position("PSU/C1", 10e-6, 25.0, kind=Kind.SOLID_TANTALUM))
        jobs, left = reform_jobs([replace(judgements(found)[0], decision=Decision.REFORM)])
        assert not jobs
        assert "only wet aluminium" in left[0][1]


class TestRefit:
    BOARDS = (
        Board("CPU", refit_place=3),
        Board("PSU", refit_place=1),
        Board("IO", refit_place=2),
        Board("REG"),
    )
    RAILS = (
        rail("+12V", 12.0, made_on="PSU", feeds=("REG", "IO")),
        rail("+5V", 5.0, made_on="REG", feeds=("CPU", "IO")),
    )

    def stages(self, **unit: Any) -> list[tuple[str, str]]:
        parts = [position(f"{name}/C1", 1e-6, 25.0) for name in ("PSU", "REG", "CPU", "IO")]
        found = first_power(*parts, boards=self.BOARDS, rails=self.RAILS, **unit)
        return [(stage.board, stage.hold) for stage in found.stages]

    def test_dependency_before_place_place_before_name(self) -> None:
        assert [board for board, _ in self.stages()] == ["REG", "IO", "CPU"]

    def test_holds_only_before_what_cannot_be_replaced(self) -> None:
        assert all("second person" in hold for _, hold in self.stages(downstream=Downstream.IRREPLACEABLE))
        assert not any(hold for _, hold in self.stages(downstream=Downstream.REPLACEABLE))

    def test_a_hold_names_the_rails_that_the_board_gets(self) -> None:
        hold = dict(self.stages(downstream=Downstream.IRREPLACEABLE))["CPU"]
        assert "before +5V has passed" in hold

    def test_boards_that_need_each_other_do_not_hang(self) -> None:
        rails = (
            rail("+a", 5.0, made_on="A", feeds=("B",)),
            rail("+b", 5.0, made_on="B", feeds=("A",)),
        )
        found = first_power(position("A/C1", 1e-6, 25.0), position("B/C1", 1e-6, 25.0), rails=rails)
        assert len(found.stages) <= 2
