"""What may still be charged in a unit and on each of its boards, and how to take the charge out."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from recap.bench.charged_banks import BESIDE_THE_RAIL, charge_of, nodes, own_voltage, short_name
from recap.bench.constants import constant
from recap.bench.stored_charge import body_for_discharge
from recap.formulas import discharge as formula
from recap.model import Condition, Inspection, Position, Role, Unit
from recap.model.bench import ChargedBank, CommonResistor, MakeSafe
from recap.units import plain, si, volts

_ABSENT = {Condition.MISSING, Condition.EMPTY_BY_DESIGN}

CAUTIONS = (
    "Nothing here says that anything is safe: only a measurement, made now, with a meter rated for the voltage and "
    "tried on a known source before and after, tells whether a charge is gone.",
    "Pull the mains plug; a switch is not enough. Take batteries out. One hand, no rings or watch, eye protection.",
    "A resistor with insulated leads takes the charge out. A screwdriver short damages the part and throws metal; a "
    "meter is no discharger; a bleeder in the unit is never to be trusted.",
    "Charge comes back into wet aluminium after minutes. Keep large cans shorted while you work on them.",
    "Follow the local electrical code. Mains wiring belongs to those licensed and practised in it.",
)
OUT_OF_SCOPE = (
    "Picture tubes with their anode connection and high-voltage cascade, flash tubes and their capacitors, microwave "
    "ovens, X-ray and medical equipment: not covered here. Leave them to somebody trained for them.",
)


def make_safe(inspection: Inspection) -> tuple[MakeSafe, ...]:
    """Return what may be charged: for each unit as a whole, then for each of its boards by itself."""
    return tuple(each for unit in inspection.units for each in _unit(unit, inspection.positions))


def _unit(unit: Unit, everything: Iterable[Position]) -> Iterable[MakeSafe]:
    fitted = [p for p in everything if p.key.unit == unit.name and not p.conditions & _ABSENT]
    readings = _rail_readings(fitted)
    yield _make_safe(unit, "", fitted, readings)
    boards: dict[str, list[Position]] = defaultdict(list)
    for position in fitted:
        boards[position.key.board].append(position)
    for board, positions in boards.items():
        yield _make_safe(unit, board, positions, readings)


def _rail_readings(positions: Iterable[Position]) -> dict[str, float]:
    """Return the highest voltage read on each rail, on whichever board."""
    readings: dict[str, float] = {}
    for position in positions:
        read = position.measured.working_voltage_v
        if read and position.rail and position.role not in BESIDE_THE_RAIL:
            readings[position.rail] = max(abs(read), readings.get(position.rail, 0.0))
    return readings


def _make_safe(unit: Unit, board: str, positions: Sequence[Position], readings: dict[str, float]) -> MakeSafe:
    lacking = [_lacking(position, unit) for position in positions]
    known = [p for p, missing in zip(positions, lacking, strict=True) if not missing]
    not_known = tuple((p.key, missing) for p, missing in zip(positions, lacking, strict=True) if missing)
    found = (charge_of(node, unit) for node in nodes(known, unit, readings))
    banks = tuple(sorted(found, key=lambda bank: -bank.energy_j))
    notable = [bank for bank in banks if bank.notable]
    common = _common_resistor(notable)
    return MakeSafe(
        unit=unit.name,
        board=board,
        banks=banks,
        energy_j=sum(bank.energy_j for bank in banks),
        worst_voltage_v=max((bank.voltage_v for bank in banks), default=None),
        between_rails=(*_between_rails(banks, unit), *_perhaps_stacked(known, banks)),
        not_known=not_known,
        common_resistor=common,
        steps=_steps(notable, common, bool(not_known)),
        cautions=CAUTIONS,
        out_of_scope=OUT_OF_SCOPE,
    )


def _common_resistor(banks: Sequence[ChargedBank]) -> CommonResistor | None:
    """Return the quickest of the banks' own resistors whose body takes the charge of every bank."""
    charges = list({(bank.capacitance_f, bank.voltage_v) for bank in sorted(banks, key=lambda bank: -bank.voltage_v)})
    own = {(bank.discharge.resistance_ohm, bank.discharge.rating_w, bank.discharge.kind) for bank in banks}
    for resistance_ohm, rating_w, kind in sorted(own):
        if all(_takes(resistance_ohm, rating_w, charge) for charge in charges):
            slowest_s = max(_time_to(charge, resistance_ohm) for charge in charges)
            return CommonResistor(resistance_ohm, rating_w, kind, slowest_s)
    return None


def _takes(resistance_ohm: float, rating_w: float, charge: tuple[float, float]) -> bool:
    body = body_for_discharge(*charge, resistance_ohm)
    return body is not None and body.rating_w <= rating_w


def _time_to(charge: tuple[float, float], resistance_ohm: float) -> float:
    capacitance_f, voltage_v = charge
    tau_s = float(formula.time_constant_s(capacitance_f, resistance_ohm))
    return float(formula.discharge_time_s(voltage_v, constant("discharge_to_v"), tau_s))


def _between_rails(banks: Sequence[ChargedBank], unit: Unit) -> tuple[str, ...]:
    """Return what stands between a positive and a negative rail with the same other side."""
    sides: dict[str, list[tuple[float, str]]] = defaultdict(list)
    for bank in banks:
        rail = unit.rail(bank.rail) if bank.rail else None
        if rail is not None and rail.nominal_v:
            sides[rail.other_side].append((-bank.voltage_v if rail.negative else bank.voltage_v, rail.name))
    texts = []
    for voltages in sides.values():
        (low_v, low), (high_v, high) = min(voltages), max(voltages)
        if low_v < 0 < high_v and high_v - low_v > constant("discharge_to_v"):
            texts.append(f"{high} to {low}: up to {volts(high_v - low_v)}")
    return tuple(texts)


def _perhaps_stacked(positions: Sequence[Position], banks: Sequence[ChargedBank]) -> tuple[str, ...]:
    """Return a warning where several primary reservoirs name no rail: side by side or stacked is then not known."""
    loose = [p for p in positions if p.role is Role.PRIMARY_RESERVOIR and not p.rail]
    if len(loose) < 2:
        return ()
    keys = {p.key for p in loose}
    voltages = [bank.voltage_v for bank in banks if any(member.key in keys for member in bank.members)]
    names = " and ".join(short_name(p.key) for p in loose)
    highest = volts(sum(sorted(voltages)[-2:]))
    return (f"{names} may be stacked (doubler or mains selector): across both up to {highest}; measure each and both",)


def _steps(notable: Sequence[ChargedBank], common: CommonResistor | None, unknown: bool) -> tuple[str, ...]:
    """Return what to do, in order; every step ends in a measurement."""
    large = [bank for bank in notable if bank.energy_j > constant("small_charge_j")]
    small = [bank for bank in notable if bank not in large]
    steps = ["Pull the mains plug, take out batteries, then try the meter on a source that is known to be alive."]
    for bank in large:
        resistor = common or bank.discharge
        tau_s = float(formula.time_constant_s(bank.capacitance_f, resistor.resistance_ohm))
        hold_s = max(constant("discharge_hold_time_constants") * tau_s, constant("shortest_hold_s"))
        steps.append(
            f"{bank.name}: measure {bank.measure_at}; up to {volts(bank.voltage_v)}. If there is voltage, "
            f"{si(resistor.resistance_ohm, 'Ω')} {plain(resistor.rating_w)} W across it for {_time(hold_s)} or more, "
            "then measure."
        )
    steps += _small_charges(small)
    steps.append(
        f"Wait {plain(constant('rebound_wait_s') / 60)} minutes, then measure every one of them again: charge creeps "
        "back into wet aluminium. Discharge again if there is any, and leave large cans shorted."
    )
    if unknown:
        steps.append("Positions without a value or volts may be charged too: measure them the same way.")
    steps.append("Try the meter on the known source once more, then tag the unit: who measured, when, what was left.")
    return tuple(steps)


def _small_charges(banks: Sequence[ChargedBank]) -> Iterable[str]:
    """Return a line for the small charges at high voltage, the highest first, and one for all that stand lower."""
    done_v, small = volts(constant("discharge_to_v")), si(constant("small_charge_j"), "J")
    high = [bank for bank in banks if bank.voltage_v > constant("discharge_to_v")]
    if high:
        yield (
            f"At most {small} each, but above {done_v}: measure each before you touch it, and discharge it the same "
            f"way. {_by_voltage(high)}."
        )
    if low := [bank for bank in banks if bank not in high]:
        yield (
            f"At most {small} and {done_v} each, but above a published limit: measure and discharge these too. "
            f"{_by_voltage(low)}."
        )


def _by_voltage(banks: Sequence[ChargedBank]) -> str:
    """Return names behind their voltage, the highest voltage first."""
    names: dict[str, list[str]] = defaultdict(list)
    for bank in sorted(banks, key=lambda bank: -bank.voltage_v):
        names[volts(bank.voltage_v)].append(bank.name)
    return "; ".join(f"{voltage}: {', '.join(named)}" for voltage, named in names.items())


def _time(seconds: float) -> str:
    return f"{plain(seconds, 2)} s" if seconds < 120 else f"{plain(seconds / 60, 2)} minutes"


def _lacking(position: Position, unit: Unit) -> str:
    missing = [] if position.capacitance_f else ["capacitance"]
    if own_voltage(position, unit) is None:
        missing.append("volts")
    return " and ".join(missing)
