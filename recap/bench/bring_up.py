"""The first power of a unit as data: looks before it, loads, lamp, proof of every rail, soak, boards one by one."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from recap.bench.drawer import DrawerResistor
from recap.bench.lamp_limiter import is_switching, lamp_limiter
from recap.bench.loads import rail_load
from recap.bench.rails import (
    dead_resistance,
    expected_frequency,
    is_live,
    light_window,
    loaded_window,
    patterns,
    regulated,
    ripple_limit,
)
from recap.bench.refit import made_by_supply, refit_stages
from recap.bench.reforming import reform_jobs
from recap.model import Basis, Decision, Inspection, Judgement, Position, Rail, Role, Tristate, Unit
from recap.model.bench import BenchCheck, BringUp, Limit, RailLoad, RailProof
from recap.ruledata import number, table

LEAST_COLD, FULL_COLD, FULL_WARM, SOAKED = "least load, cold", "full load, cold", "full load, warm", "after the soak"
BOARD_COLD, BOARD_WARM = "board in, cold", "board in, warm"
SUPPLY_STATES = (LEAST_COLD, FULL_COLD, FULL_WARM, SOAKED)
BOARD_STATES = (BOARD_COLD, BOARD_WARM)

METHOD = (
    "A meter alone does not pass a rail: on DC it averages, on AC it may not follow kHz ripple. Read the direct "
    "voltage with the meter and the ripple at the oscilloscope.",
    "Oscilloscope: AC coupled, bandwidth limit 20 MHz, 0.1 µF ceramic in parallel with 10 µF electrolytic at the probe "
    "tip, shortest possible earth (spring or twisted pair, not the long clip), at the rail's own connector.",
    "Read peak to peak over several mains periods first, then at the switching period. Write down the frequency of "
    "what is largest, or none where there is only noise.",
    "Every rail, negative and high ones included; signs as the meter shows them.",
)
ISOLATION = (
    "The oscilloscope's clip goes to an isolated secondary only; its earth is never lifted.",
    "Rails on the mains side: a meter rated for the voltage, and a differential probe, or the whole supply behind an "
    "isolating transformer. A residual-current device does not protect behind that transformer.",
)
_TRANSFORMER = (
    "Isolating transformer first: the chassis is {known} isolated from the mains. Nothing powered is touched or "
    "measured before it stands behind one."
)
CAUTIONS = (
    "Stay beside it, plug in reach, eye protection on, face away from cans; nothing here says that it is safe.",
    "Before every change of load or probe: off, unplugged, discharged, measured.",
    "Dummy loads burn: free air all round, metal or ceramic under them.",
    "Local electrical codes come first; the mains side belongs to those licensed and practised.",
)
_TOUCHED = {Decision.REPLACE, Decision.REFORM, Decision.MEASURE, Decision.STOP}


def bring_up(
    inspection: Inspection, judgements: Sequence[Judgement], drawer: Sequence[DrawerResistor] = ()
) -> tuple[BringUp, ...]:
    """Return the first power of every unit; `drawer` holds load resistors at hand."""
    return tuple(
        _unit(unit, [item for item in judgements if item.key.unit == unit.name], drawer) for unit in inspection.units
    )


def _unit(unit: Unit, judgements: Sequence[Judgement], drawer: Sequence[DrawerResistor]) -> BringUp:
    positions = [item.position for item in judgements]
    loads = {rail.name: rail_load(rail, drawer) for rail in unit.rails}
    live = {rail.name for rail in unit.rails if is_live(rail, positions)}
    touched = any(_on_mains_side(item.position, live) for item in judgements if item.meant in _TOUCHED)
    checks = tuple(_checks(unit, touched))
    jobs, left = reform_jobs(judgements)
    rails = tuple(_proof(rail, unit, rail.name in live, loads[rail.name]) for rail in unit.rails)
    limiter = lamp_limiter(unit, positions, loads)
    return BringUp(
        unit=unit.name,
        checks=tuple(check for check in checks if check.group != "soak"),
        isolation=_isolation(unit),
        limiter=limiter,
        rails=rails,
        method=METHOD,
        power_up=_power_up(is_switching(unit, positions)),
        soak=tuple(check for check in checks if check.group == "soak"),
        reforms=jobs,
        not_reformed=left,
        stages=refit_stages(unit, judgements),
        cautions=CAUTIONS,
        missing=tuple(dict.fromkeys((*_missing(unit), *limiter.missing))),
    )


def _on_mains_side(position: Position, live: Collection[str]) -> bool:
    return position.role in (Role.MAINS_SAFETY, Role.PRIMARY_RESERVOIR) or position.rail in live


def _checks(unit: Unit, mains_touched: bool) -> Iterable[BenchCheck]:
    """Return the checks that apply."""
    for row in table("bench_checks"):
        if row["applies"] == "mains-touched" and not mains_touched:
            continue
        low, high = number(row, "low"), number(row, "high")
        limit = None
        if low is not None or high is not None:
            limit = Limit(low, high, _UNITS[row["unit"]], Basis.DOCUMENTED, row["source"], row["why"])
        yield BenchCheck(row["id"], row["group"], row["text"], row["why"], row["source"], limit)


_UNITS = {"ohm": "Ω", "megaohm": "MΩ", "volt": "V", "minute": "min"}


def _isolation(unit: Unit) -> tuple[str, ...]:
    if unit.chassis_isolated is Tristate.YES:
        return ISOLATION
    known = "not" if unit.chassis_isolated is Tristate.NO else "not known to be"
    return (_TRANSFORMER.format(known=known), *ISOLATION)


def _proof(rail: Rail, unit: Unit, live: bool, load: RailLoad) -> RailProof:
    frequency_hz, frequency_why = expected_frequency(rail, unit)
    by_supply = made_by_supply(unit, rail.made_on)
    return RailProof(
        name=rail.name,
        nominal_v=rail.nominal_v,
        other_side=rail.other_side,
        live=live,
        made_on=rail.made_on,
        feeds=rail.feeds,
        window=loaded_window(rail),
        light_window=light_window(rail, unit),
        ripple=ripple_limit(rail),
        frequency_hz=frequency_hz,
        frequency_why=frequency_why,
        patterns=patterns(rail),
        states=SUPPLY_STATES if by_supply else BOARD_STATES,
        resistance=dead_resistance(rail),
        load=load,
        notes=tuple(_rail_notes(rail, live, by_supply, load)),
    )


def _rail_notes(rail: Rail, live: bool, by_supply: bool, load: RailLoad) -> Iterable[str]:
    if live:
        yield "On the mains side: never the oscilloscope's clip without isolation, never against the chassis."
    if rail.negative:
        yield "Negative rail: write the sign; the load's plus end goes to its other side."
    if not by_supply:
        yield f"Made on {rail.made_on}: proven when that board is in."
    elif not set(rail.feeds) - {rail.made_on}:
        yield "Stays on its own board: loaded through what it feeds there, no dummy load."
    if load.least_assumed:
        yield "No minimum load was recorded: a tenth of the full load is taken."
    if rail.nominal_v is not None and not regulated(rail):
        yield "Not regulated: it moves with the mains and the load; write the mains voltage beside it."


def _power_up(switching: bool) -> tuple[str, ...]:
    first = (
        "Minimum dummy loads on the rails, meter on the main one, lamp in series. On for seconds: does every rail come "
        "up, does the lamp go dim? Off at the first doubt. Then without the lamp, at full mains, still at least load."
        if switching
        else "Dummy loads on the rails, lamp in series, variable transformer at zero. Up slowly, with stops at a "
        "quarter, half and three quarters: every rail must follow, nothing may warm."
    )
    return (
        "Supply alone, no board connected, loads and meters connected with the power off and discharged.",
        first,
        "At least load: write every rail's direct voltage and ripple.",
        "At full load, cold: within the first minute write them all again.",
        "At full load, warm: after twenty minutes again, with the frequency of the ripple.",
        "Attended soak at full load for an hour or more, then a last time; then off, unplugged, discharged, measured.",
        "Only then the boards, one at a time, in the order below; rails measured again after each.",
    )


def _missing(unit: Unit) -> Iterable[str]:
    if unit.chassis_isolated is Tristate.UNKNOWN:
        yield "whether the chassis is isolated from the mains"
    if not unit.rails:
        yield "the unit's rails: without them nothing can be proven"
    for rail in unit.rails:
        if rail.nominal_v is None:
            yield f"nominal voltage of {rail.name}"
