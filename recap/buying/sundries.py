"""What to buy or have at hand beside capacitors."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from recap.model import Condition, Decision, Judgement, Mounting, OrderLine, Sundry


def sundries(judgements: Sequence[Judgement], lines: Iterable[OrderLine]) -> tuple[Sundry, ...]:
    """Return the sundries that this job calls for, each with why."""
    replaced = [item for item in judgements if item.meant is Decision.REPLACE]
    if not judgements:
        return ()
    found = {condition for item in judgements for condition in item.position.conditions}
    mountings = {item.position.body.mounting for item in replaced}
    wanted = [
        Sundry("Small labelled bags", str(max(len(replaced), 1)), "old parts stay matched until sign-off"),
        Sundry("Paint marker", "1", "a dot on each new part shows what was missed"),
    ]
    if replaced:
        wanted += [
            Sundry("Leaded solder 63/37 or 60/40, 0.5 to 0.8 mm", "1 reel", "old boards were soldered with lead"),
            Sundry("Flux, rosin", "1", "old joints take heat badly without it"),
            Sundry("Desoldering wick", "2 m", "holes are cleared without force on the rings"),
        ]
    if found & {Condition.LEAKED, Condition.CRUST, Condition.CORRODED_JOINT}:
        wanted += [
            Sundry("Deionised water, isopropyl alcohol, soft brushes", "some", "leaked electrolyte is washed off"),
            Sundry("Gloves and eye protection", "1 set", "electrolyte burns skin and eyes"),
            Sundry("Fine wire and board varnish", "as needed", "tracks and pads under a leak may be eaten"),
        ]
    if Mounting.AXIAL in mountings:
        wanted.append(Sundry("Insulating sleeving, cable ties", "1 m, 10", "for radial parts that lie on axial places"))
    if any(line.specification.safety_classes for line in lines):
        wanted.append(Sundry("Fuses of the printed rating and type", "2", "for the first power-up after such work"))
    if any("series" in line.specification.arrangement for line in lines):
        wanted.append(Sundry("Balancing resistors", "2 a pair", "series parts share voltage through them"))
    return tuple(wanted)
