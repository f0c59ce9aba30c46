"""The lamp in series with the mains for the first power: which one, and where it settles with the supply."""

from __future__ import annotations

from collections.abc import Sequence

from recap.bench.constants import constant
from recap.bench.rails import is_live
from recap.formulas.lamp import FilamentLamp, lamp_current_a, with_constant_power_load, with_resistive_load
from recap.model import SWITCHING_SUPPLIES, Position, Rail, Role, Unit
from recap.model.bench import LampChoice, LampLimiter, LampPoint, RailLoad
from recap.ruledata import table

NOTES = (
    "Filament (incandescent or mains halogen) lamps for the full mains voltage only; LED lamps limit nothing.",
    "The lamp limits current. It gives no isolation and no protection from shock; all behind it is at mains.",
    "Bright for a moment, then dim or dark: the reservoir has charged. Staying at full brightness: a short or far too "
    "much load; switch off.",
)
SWITCHING_NOTES = (
    "Switching supply: a brief fault check behind the lamp only, seconds, with at least the minimum load. No dwelling "
    "and no slow ramp on a variable transformer: at low line it draws more current, retries or overheats.",
    "If it starts and stops behind the lamp, that is the lamp's doing as likely as a fault: stop, take a larger lamp.",
)
LINEAR_NOTES = (
    "Linear supply: after the lamp stays dark, a slow ramp on a variable transformer, with stops at a quarter, half "
    "and three quarters to see every rail follow. The variable transformer limits voltage, not current: keep the lamp.",
    "With a valve rectifier nothing happens below the voltage where its heater emits: raise it slowly only above that.",
)


def supply_rails(unit: Unit, positions: Sequence[Position]) -> tuple[Rail, ...]:
    """Return the rails that carry the load out of the supply: no mains side, nothing that only feeds its own board."""
    own = [rail for rail in unit.rails if not is_live(rail, positions)]
    outward = tuple(rail for rail in own if set(rail.feeds) - {rail.made_on})
    return outward or tuple(own)


def is_switching(unit: Unit, positions: Sequence[Position]) -> bool:
    """Return whether the mains feeds a converter: a switching rail from the supply, or a reservoir on the mains."""
    return any(rail.supply in SWITCHING_SUPPLIES for rail in supply_rails(unit, positions)) or any(
        position.role is Role.PRIMARY_RESERVOIR for position in positions
    )


def lamp_limiter(unit: Unit, positions: Sequence[Position], loads: dict[str, RailLoad]) -> LampLimiter:
    """Return the lamps that suit a unit's supply on its dummy loads, with every operating point they have."""
    switching = is_switching(unit, positions)
    mains_v = unit.mains_voltage_v
    rails = supply_rails(unit, positions)
    missing = [] if mains_v else ["the mains voltage of the unit"]
    missing += [f"full load of {rail.name}" for rail in rails if loads[rail.name].full is None]
    expected = _expected_w(rails, loads, switching)
    chosen = _lamps(mains_v, expected, switching) if mains_v and expected else ()
    notes: tuple[str, ...] = (*NOTES, *(SWITCHING_NOTES if switching else LINEAR_NOTES))
    if mains_v and expected and not chosen:
        notes += ("No lamp as sold suits this load: a current-limited supply or the maker's own procedure instead.",)
    return LampLimiter(switching, switching, expected, chosen, notes, tuple(missing))


def _expected_w(
    rails: Sequence[Rail], loads: dict[str, RailLoad], switching: bool
) -> tuple[tuple[str, float], ...]:
    """Return the power from the mains on the dummy loads, with the losses of an old supply.

    A switching supply is only checked at its least load behind a lamp, a linear one at both.
    """
    found = []
    for name, which in (("least load", "least"),) if switching else (("least load", "least"), ("full load", "full")):
        resistors = [getattr(loads[rail.name], which) for rail in rails]
        power_w = sum(resistor.power_w for resistor in resistors if resistor is not None)
        if power_w > 0:
            found.append((name, power_w / constant("supply_efficiency")))
    return tuple(found)


def _lamps(mains_v: float, expected: Sequence[tuple[str, float]], switching: bool) -> tuple[LampChoice, ...]:
    """Return the lamps between one and three times the largest of the loads, and if none holds it, the first that does.

    A constant-power load may have no operating point behind a lamp that would suit a resistive one.
    """
    low, high = constant("lamp_to_load_low"), constant("lamp_to_load_high")
    largest_w = max(load_w for _, load_w in expected)
    powers = [float(row["power_w"]) for row in table("mains_lamps")]
    choices = [_choice(power_w, mains_v, expected, switching) for power_w in powers if power_w >= low * largest_w]
    suiting = [choice for choice in choices if choice.power_w <= high * largest_w]
    if not any(choice.points and not choice.no_point for choice in suiting):
        suiting += [choice for choice in choices if choice not in suiting and not choice.no_point][:1]
    return tuple(suiting)


def _choice(power_w: float, mains_v: float, expected: Sequence[tuple[str, float]], switching: bool) -> LampChoice:
    lamp = FilamentLamp(power_w, mains_v, constant("lamp_current_exponent"), constant("lamp_cold_ratio_high"))
    points: list[LampPoint] = []
    none = []
    for name, load_w in expected:
        if switching:
            found = with_constant_power_load(lamp, mains_v, load_w)
        else:
            found = (with_resistive_load(lamp, mains_v, load_w),)
        points += [LampPoint(name, load_w, each.load_voltage_v, each.current_a, each.stable) for each in found]
        if not found:
            none.append(name)
    return LampChoice(power_w, mains_v, float(lamp_current_a(lamp, mains_v)), tuple(points), tuple(none))
