"""Loads, limits and lamps in the words of the bring-up: the same on the page and in the workbook."""

from __future__ import annotations

from collections.abc import Iterable

from recap.bench.constants import constant
from recap.model import Basis
from recap.model.bench import (
    BenchResistor,
    ChargedBank,
    LampChoice,
    LampPoint,
    Limit,
    MakeSafe,
    PassedThreshold,
    RailProof,
    ReformJob,
)
from recap.sources import cite
from recap.units import farads, plain, si, volts

MOST_BANKS = 12


def large_banks(safe: MakeSafe) -> list[ChargedBank]:
    """Return the banks to show in full: what reaches a limit and holds much, and what holds most in any case."""
    small_j = constant("small_charge_j")
    return [bank for bank in safe.banks if bank.energy_j > small_j or bank is safe.banks[0]][:MOST_BANKS]


def limits_reached(banks: Iterable[ChargedBank]) -> list[PassedThreshold]:
    """Return every published limit that one of the banks reaches, once."""
    return list(dict.fromkeys(limit for bank in banks for limit in bank.passed))


def window(limit: Limit | None) -> str:
    """Return a window of direct voltage; limits that nobody gave are called assumed."""
    if limit is None or limit.low is None or limit.high is None:
        return "not known: the nominal voltage was not recorded"
    nearer, further = sorted((limit.low, limit.high), key=abs)
    return f"{_v(nearer)} to {_v(further)} V{_assumed(limit)}"


def _v(value: float) -> str:
    return f"{value:.2f}".replace("-", "−") if abs(value) < 100 else f"{value:.0f}".replace("-", "−")


def windows(rail: RailProof) -> str:
    """Return the window loaded, and at least load where that is another."""
    loaded = window(rail.window)
    return loaded if rail.light_window == rail.window else f"{loaded}; at least load {window(rail.light_window)}"


def ripple(limit: Limit | None) -> str:
    """Return the ripple limit."""
    if limit is None or limit.high is None:
        return "not known"
    return f"at most {si(limit.high, 'V')} p-p{_assumed(limit)}"


def _assumed(limit: Limit) -> str:
    return " (assumed)" if limit.basis is Basis.ASSUMED else ""


def frequency(rail: RailProof) -> str:
    """Return the frequency to expect."""
    if rail.frequency_hz is None:
        return rail.frequency_why
    return f"{si(rail.frequency_hz, 'Hz')} ({rail.frequency_why})"


def at_least(limit: Limit | None) -> str:
    """Return the least resistance of a dead rail."""
    return "" if limit is None or limit.low is None else f"at least {si(limit.low, 'Ω')}{_assumed(limit)}"


def check_limit(limit: Limit | None) -> str:
    """Return what a check's reading must be."""
    if limit is None:
        return ""
    if limit.low is not None:
        return f"at least {plain(limit.low)} {limit.unit}"
    return f"at most {plain(limit.high or 0)} {limit.unit}"


def resistor(load: BenchResistor | None) -> str:
    """Return a dummy load to take."""
    if load is None:
        return ""
    rating = f"{plain(load.rating_w)} W {load.kind}" if load.rating_w else load.kind
    drawer = f"; from the drawer: {load.drawer}" if load.drawer else ""
    return f"{si(load.preferred_ohm, 'Ω')}, {rating} ({si(load.current_a, 'A')}, {si(load.power_w, 'W')}){drawer}"


def lamp_load(rail: RailProof) -> str:
    """Return a filament lamp as the load, with its surge."""
    lamp = rail.load.lamp
    if lamp is None:
        return ""
    return f"{plain(lamp.power_w, 2)} W at {volts(abs(rail.nominal_v or 0))}; cold {_surge(lamp.surge_a)}"


def _surge(surge: tuple[float, float]) -> str:
    return f"{plain(surge[0], 2)} to {plain(surge[1], 2)} A"


def dummy_loaded(rail: RailProof) -> bool:
    """Return whether a dummy load goes on a rail: it leaves its board and is not on the mains side."""
    return not rail.live and bool(set(rail.feeds) - {rail.made_on})


def lamp_points(choice: LampChoice) -> list[str]:
    """Return every operating point of a lamp in words, and the loads that have none."""
    texts = [_point(point, choice.voltage_v) for point in choice.points]
    texts += [f"{name}: no operating point, the supply cannot run behind this lamp" for name in choice.no_point]
    return texts


def _point(point: LampPoint, mains_v: float) -> str:
    share = plain(100 * point.load_voltage_v / mains_v, 2)
    stable = "" if point.stable else "; not stable, the supply drops out there"
    return (
        f"{point.load}, {plain(point.load_w, 2)} W: supply gets {plain(point.load_voltage_v)} V ({share} %), "
        f"{si(point.current_a, 'A')}{stable}"
    )


def lamp_row(choice: LampChoice) -> tuple[str, str]:
    """Return a lamp and where it settles."""
    return f"{plain(choice.power_w)} W {volts(choice.voltage_v)}", "\n".join(lamp_points(choice))


def charge_row(bank: ChargedBank) -> tuple[str, str, str, str, str, str, str, str]:
    """Return place, capacitance, voltage, energy, resistor, times, rebound and published limits of a charge."""
    own = bank.discharge
    return (
        f"{bank.name}, {bank.arrangement}",
        farads(bank.capacitance_f),
        f"{volts(bank.voltage_v)}, {bank.voltage_why}",
        si(bank.energy_j, "J"),
        f"{si(own.resistance_ohm, 'Ω')} {plain(own.rating_w)} W, {si(own.initial_power_w, 'W')} at first",
        ", ".join(si(time, "s") if time else "0" for _, time in own.times_s),
        f"{plain(own.rebound_v[0], 2)} to {plain(own.rebound_v[1], 2)} V",
        "\n".join(f"{limit.text} ({cite(limit.source)})" for limit in bank.passed) or "none of those published",
    )


def part_name(job: ReformJob) -> str:
    """Return board and designator of a part to reform."""
    return "/".join(part for part in job.key[1:] if part)


def reform_row(job: ReformJob) -> tuple[str, str, str, str, str, str]:
    """Return part, series resistor, current limit, voltages with minutes, leakage to accept, discharge resistor."""
    rating = f"{plain(job.rating_w)} W {job.resistor_kind}" if job.rating_w else job.resistor_kind
    rising = [stage for stage in job.stages if stage.voltage_v > 0]
    voltages = ", ".join(plain(stage.voltage_v) for stage in rising)
    return (
        f"{part_name(job)}: {farads(job.capacitance_f)} {volts(job.voltage_v)}",
        f"{si(job.resistance_ohm, 'Ω')} {rating}; shorted {si(job.shorted_power_w, 'W')}",
        si(job.current_limit_a, "A"),
        f"0, {voltages} V; {plain(rising[-1].minutes)} min each" if rising else "",
        f"{si(job.accept_leakage_a, 'A')} at {volts(job.voltage_v)}",
        si(job.discharge_ohm, "Ω"),
    )
