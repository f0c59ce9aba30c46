"""What the bench needs beside capacitors: discharge resistors, dummy loads, a lamp, an isolating transformer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from recap.model import Sundry
from recap.model.bench import BringUp, MakeSafe
from recap.units import plain, si


def bench_sundries(safe: Sequence[MakeSafe], first_power: Sequence[BringUp]) -> tuple[Sundry, ...]:
    """Return what to have at hand for making safe and for the first power, each with why."""
    many = len(first_power) > 1
    wanted = [_discharge_resistor(each, many) for each in safe if not each.board]
    for each in first_power:
        where = f"{each.unit}: " if many else ""
        wanted += _loads(each, where)
        if each.limiter.lamps:
            lamp = next((lamp for lamp in each.limiter.lamps if not lamp.no_point), each.limiter.lamps[-1])
            text = f"Filament lamp {plain(lamp.power_w)} W for the mains voltage, in a closed holder"
            wanted.append(Sundry(text, "1", f"{where}in series with the mains at first power; it gives no isolation"))
        if len(each.isolation) > 2:
            wanted.append(Sundry("Isolating transformer", "1", f"{where}the chassis is not known to be isolated"))
    return tuple(wanted)


def _discharge_resistor(safe: MakeSafe, many: bool) -> Sundry:
    where = f"{safe.unit}: " if many else ""
    notable = [bank for bank in safe.banks if bank.notable]
    chosen = safe.common_resistor or (notable[0].discharge if notable else None)
    if chosen is None:
        return Sundry("Discharge resistor with insulated probes", "1", f"{where}stored charge drains through it")
    text = f"Discharge resistor {si(chosen.resistance_ohm, 'Ω')}, {plain(chosen.rating_w)} W {chosen.kind}, "
    text += "with insulated probes"
    why = "stored charge of every bank drains through it" if safe.common_resistor else f"for {notable[0].name}"
    return Sundry(text, "1", where + why)


def _loads(first_power: BringUp, where: str) -> list[Sundry]:
    pieces: Counter[tuple[str, str]] = Counter()
    for rail in first_power.rails:
        if rail.live or not set(rail.feeds) - {rail.made_on}:
            continue
        for name, resistor in (("least", rail.load.least), ("full", rail.load.full)):
            if resistor is not None:
                watts = resistor.rating_w or resistor.power_w
                rating = f"{plain(watts)} W{'' if resistor.rating_w else ' and more'}"
                text = f"Dummy load {si(resistor.preferred_ohm, 'Ω')}, {rating} {resistor.kind}"
                pieces[text, f"{rail.name} at {name} load"] += 1
    return [Sundry(text, str(count), f"{where}{why}") for (text, why), count in pieces.items()]
