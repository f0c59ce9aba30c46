"""One part held against one position in full: points with margins, the life in place, what would make it fit."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from recap.model import Judgement, Part, Relation, Requirement, Strength
from recap.model.check import PartCheck, Point, PointVerdict, Verdict
from recap.model.figures import name_of
from recap.parts import reference
from recap.parts.catalogue import Catalogue
from recap.parts.life_in_place import life_in_place
from recap.parts.place import SINGLE, Place, places_of
from recap.parts.points import ripple_current_a
from recap.parts.remedies import remedies
from recap.parts.suspicion import suspicions
from recap.parts.verdict import POINTS, VERDICTS, Held, Tally, hold
from recap.units import si

_BEHIND = {
    Verdict.FITS_WITH_NOTE: "it fits only with a note on",
    Verdict.ASK: "it leaves a question about",
    Verdict.NO: "it does not fit by",
}
_RANK = {verdict: number for number, verdict in enumerate(VERDICTS)}


def check_part(judgement: Judgement, part: Part) -> PartCheck:
    """Hold a part against a position: alone, and as the pair that the position's specification may ask for."""
    return _Proposed(part).check(judgement)


def where_may_it_go(judgements: Sequence[Judgement], part: Part) -> list[PartCheck]:
    """Return the check of a part at every position that has demands, in the order of the inspection."""
    proposed = _Proposed(part)
    return [proposed.check(judgement) for judgement in judgements if judgement.requirements]


def best_first(checks: Iterable[PartCheck]) -> list[PartCheck]:
    """Return checks of one position by verdict, then fewest open points, then the longest estimated life."""
    return sorted(checks, key=_standing)


def _standing(check: PartCheck) -> tuple[float, ...]:
    open_points = sum(point.verdict is not PointVerdict.OK for point in check.points)
    life = check.life.nominal_h if check.life is not None else 0.0
    return _RANK[check.verdict], len(check.suspicions), open_points, -life


def why_behind(better: PartCheck, worse: PartCheck) -> str:
    """Return in a sentence why one check stands behind another."""
    if better.verdict is not worse.verdict:
        points = [p for p in worse.points if p.asks or p.verdict is PointVerdict.FAILS]
        points = points or [p for p in worse.points if p.verdict is not PointVerdict.OK]
        names = ", ".join(dict.fromkeys(name_of(p.quantity, p.frequency_hz) for p in points[:4]))
        return f"{_BEHIND[worse.verdict]} {names}"
    if len(worse.suspicions) > len(better.suspicions):
        return worse.suspicions[0]
    mine, theirs = (
        {(p.quantity, p.rule) for p in c.points if p.verdict is not PointVerdict.OK} for c in (worse, better)
    )
    if mine - theirs and len(mine) > len(theirs):
        return "more points open: " + ", ".join(sorted({name_of(quantity) for quantity, _ in mine - theirs}))
    if better.life is not None and worse.life is not None and better.life.nominal_h > worse.life.nominal_h:
        return f"shorter estimated life ({worse.life.nominal_h:,.0f} h against {better.life.nominal_h:,.0f} h)"
    return "no worse in anything that counts here"


class _Proposed:
    """A part with what is worked out once for all the positions it is held against."""

    def __init__(self, part: Part) -> None:
        self.part = part
        self.columns = Catalogue.of([part])
        self.suspicions = suspicions(part)

    def check(self, judgement: Judgement) -> PartCheck:
        """Return the better of the answers for one piece and for a pair."""
        return min((self._at(judgement, place) for place in places_of(judgement)), key=lambda c: _RANK[c.verdict])

    def _at(self, judgement: Judgement, place: Place) -> PartCheck:
        held = {id(item): hold(item, self.columns, place) for item in place.requirements}
        tally = Tally.at(place, 1)
        for item in place.binding:
            tally.add(held[id(item)])
        points = tuple(_point(item, held[id(item)], place, self.columns, self.part) for item in place.requirements)
        points += tuple(_question(quantity, self.part) for quantity in place.lacking)
        return PartCheck(
            key=judgement.key,
            part=self.part,
            arrangement=place.arrangement,
            verdict=VERDICTS[int(tally.verdicts()[0])],
            points=points,
            life=life_in_place(self.part, self.columns, place),
            original_life=judgement.life_as_found,
            would_fit_if=remedies(points, place, self.part),
            suspicions=self.suspicions,
        )


def _point(requirement: Requirement, held: Held, place: Place, columns: Catalogue, part: Part) -> Point:
    verdict, given = POINTS[int(held.codes[0])], held.provided
    value: float | str | None
    if given.words is not None:
        value = given.words.at(0) or None
    else:
        value = None if math.isnan(given.values[0]) else float(given.values[0])
    margin = _margin(requirement, value)
    asks = bool(held.asks[0])
    return Point(
        quantity=requirement.quantity,
        provided=value,
        required=requirement.value,
        unit=requirement.unit,
        relation=requirement.relation,
        strength=requirement.strength,
        frequency_hz=requirement.frequency_hz,
        margin=margin,
        margin_pct=_per_cent(margin, requirement.value),
        verdict=verdict,
        asks=asks,
        rule=requirement.rule,
        source=requirement.source,
        reason=_reason(requirement, place, part, value, verdict, columns),
    )


def _question(quantity: str, part: Part) -> Point:
    """Return the point of a position whose own value or rating nobody knows yet."""
    name = name_of(quantity)
    return Point(
        quantity=quantity,
        provided=getattr(part, quantity),
        required="not known",
        unit="F" if quantity == "capacitance_f" else "V",
        relation=Relation.AT_LEAST,
        strength=Strength.MUST,
        frequency_hz=None,
        margin=None,
        margin_pct=None,
        verdict=PointVerdict.CANNOT_TELL,
        asks=True,
        rule="capacitance-window" if quantity == "capacitance_f" else "voltage-marked",
        source="common-practice",
        reason=f"cannot tell: needs the {name} that belongs at this position, from its marking or the documents",
    )


def _margin(requirement: Requirement, value: float | str | None) -> float | None:
    wanted = requirement.value
    if not isinstance(value, float):
        return None
    if isinstance(wanted, int | float):
        return wanted - value if requirement.relation is Relation.AT_MOST else value - wanted
    if isinstance(wanted, tuple) and all(isinstance(item, int | float) for item in wanted):
        return min((value - float(item) for item in wanted), key=abs)
    return None


def _per_cent(margin: float | None, wanted: object) -> float | None:
    if margin is None or not isinstance(wanted, int | float) or wanted == 0:
        return None
    return 100 * margin / abs(wanted)


def _reason(
    requirement: Requirement,
    place: Place,
    part: Part,
    value: float | str | None,
    verdict: PointVerdict,
    columns: Catalogue,
) -> str:
    if value is None:
        return f"cannot tell: needs {_needs(requirement, part)}"
    why = requirement.reason.operation
    if requirement.quantity == "ripple_current_a":
        _, converted = ripple_current_a(columns, requirement.frequency_hz)
        if converted[0]:
            why = f"{_conversion(part, requirement.frequency_hz or 0.0)}; {why}"
    if requirement.quantity == "lead_diameter_mm" and part.lead_diameter_mm is None:
        why = f"not stated; usual for its diameter, so measure it; {why}"
    if requirement.quantity == "kind" and verdict is PointVerdict.CANNOT_TELL:
        why = f"ask: {place.conditional_kinds[2] or 'another kind needs other figures'}"
    if requirement.quantity == "esr_ohm" and verdict is PointVerdict.CANNOT_TELL:
        why = f"ask: whether the loop bears an ESR this low, its data sheet must say; {why}"
    if (
        requirement.quantity == "esr_ohm"
        and part.esr_low_ohm is None
        and reference.low_frequency(requirement.frequency_hz or 0)
    ):
        why = f"from its loss, tan δ / (2π·f·C); {why}"
    if requirement.quantity == "endurance_h" and value != part.endurance_h and part.endurance_h is not None:
        why = f"{part.endurance_h:,.0f} h at its own temperature, converted by its family's rule; {why}"
    if place.arrangement != SINGLE and requirement.quantity in ("capacitance_f", "esr_ohm", "rated_voltage_v"):
        why = f"{place.arrangement}; {why}"
    return why


def _needs(requirement: Requirement, part: Part) -> str:
    """Return what a part's description lacks for a demand."""
    quantity, hz = requirement.quantity, requirement.frequency_hz
    if quantity in ("ripple_current_a", "esr_ohm"):
        base, unit = ("ripple", "a") if quantity == "ripple_current_a" else ("esr", "ohm")
        wanted = name_of(quantity, hz) + (
            " or tan δ" if quantity == "esr_ohm" and reference.low_frequency(hz or 0) else ""
        )
        ends = [(getattr(part, f"{base}_{end}_{unit}"), getattr(part, f"{base}_{end}_hz")) for end in ("low", "high")]
        stated = [stated_hz for amount, stated_hz in ends if amount is not None]
        if not stated:
            return wanted
        if None in stated:
            return f"the frequency of its {name_of(quantity)}"
        listed = " and ".join(si(each, "Hz") for each in stated if each is not None)
        return f"{wanted} (stated at {listed}; figures at different frequencies are not compared)"
    if quantity == "estimated_life_h":
        lacking = [
            word for word, known in (("endurance", part.endurance_h), ("temperature", _rated_c(part))) if known is None
        ]
        return "its " + " and ".join(lacking or ["kind"])
    if quantity == "height_with_vent_mm":
        return " and ".join(
            n for n, known in (("diameter", part.diameter_mm), ("height", part.length_mm)) if known is None
        )
    return f"its {name_of(quantity)}"


def _rated_c(part: Part) -> float | None:
    return (
        part.endurance_temperature_c if part.endurance_temperature_c is not None else part.upper_category_temperature_c
    )


def _conversion(part: Part, frequency_hz: float) -> str:
    ends = ((part.ripple_low_a, part.ripple_low_hz), (part.ripple_high_a, part.ripple_high_hz))
    near = [(amount, hz) for amount, hz in ends if amount is not None and hz is not None]
    amount, hz = min(near, key=lambda pair: abs(math.log(pair[1] / frequency_hz)))
    series = reference.multiplier_series(part.kind or "", part.mounting or "", part.rated_voltage_v, hz)
    return f"{si(amount, 'A')} at {si(hz, 'Hz')} by the published multipliers of its class (series {', '.join(series)})"
