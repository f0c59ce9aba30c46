"""What the hands do at one step: forming leads, sleeve, standing off, heat, pads, the photo and the bag."""

from __future__ import annotations

from functools import cache

from recap.model import Condition, Decision, Judgement, Specification
from recap.model.part import Part
from recap.outputs.words import mm, place
from recap.ruledata import table
from recap.units import plain

_NO_LEADS = ("SMD can", "snap-in", "screw", "twist-lock", "chip")


@cache
def _figure(name: str) -> float:
    return next(float(row["value"]) for row in table("handwork") if row["name"] == name)


def handwork(judgement: Judgement, part: Part | None = None) -> tuple[str, ...]:
    """Return the handwork of a step at which a part comes out; with the chosen part, for its own dimensions."""
    if judgement.decision not in (Decision.REPLACE, Decision.REFORM):
        return ()
    spec = judgement.specification if judgement.decision is Decision.REPLACE else None
    shape = _forming(spec, part) if spec is not None else "Leads: leave them as long as they are."
    return (shape, _standing(spec, part), _heat(), _pads(judgement), _bag(judgement))


def _mounting(spec: Specification | None, part: Part | None) -> str:
    return (part.mounting if part is not None else None) or (spec.mounting if spec is not None else "")


def _forming(spec: Specification, part: Part | None) -> str:
    """Return where each lead is bent, in mm."""
    mounting, holes = _mounting(spec, part), spec.lead_spacings_mm[0] if spec.lead_spacings_mm else None
    if mounting in _NO_LEADS:
        return f"Leads: none to form ({mounting})."
    first = mm(_figure("first_bend_mm"))
    if holes is None:
        return f"Leads: hole spacing not recorded; measure it, first bend at least {first} from the body."
    if mounting == "axial":
        return f"Leads: bend both at right angles, {mm(holes)} between their centres. {_axial(spec, part, holes)}"
    own = part.lead_spacing_mm if part is not None else None
    pitches = (own,) if own is not None else spec.lead_spacings_mm
    bent = [_sideways(pitch, holes) for pitch in sorted(pitches) if abs(pitch - holes) > 0.05]
    straight = "" if own is not None and bent else f"straight into holes {mm(holes)} apart"
    texts = [text for text in (straight, *bent) if text]
    rule = f"; first bend at least {first} from the seal, held there" if bent else ", no bend"
    return f"Leads: {'; '.join(texts)}{rule}."


def _axial(spec: Specification, part: Part | None, holes: float) -> str:
    exact = part.length_mm if part is not None else None
    length = exact if exact is not None else spec.height_max_mm
    if length is None or length >= holes:
        return f"At least {mm(_figure('first_bend_mm'))} of straight lead at each end of the body."
    whose = f"a body of {mm(length)}" if exact is not None else f"the longest body of {mm(length)}"
    return f"With {whose} that is {mm((holes - length) / 2)} from each end of it."


def _sideways(pitch: float, holes: float) -> str:
    way = "outwards" if pitch < holes else "inwards"
    return f"from {mm(pitch)} bend each {mm(abs(holes - pitch) / 2)} {way}"


def _standing(spec: Specification | None, part: Part | None) -> str:
    mounting = _mounting(spec, part)
    if mounting in _NO_LEADS:
        return "Seat: flat on the board; a sleeve insulates nothing."
    if mounting == "axial":
        return "Seat: just clear of the board; sleeve leads over copper; a can's own sleeve insulates nothing."
    bend = mm(_figure("first_bend_mm"))
    return f"Seat: flat, {bend} up when bent; sleeve leads over copper; a can's own sleeve insulates nothing."


def _heat() -> str:
    melts, iron, seconds = (plain(_figure(name)) for name in ("leaded_solder_c", "iron_temperature_c", "iron_time_s"))
    return f"Heat: leaded solder ({melts} °C), iron {iron} °C, at most {seconds} s a lead."


def _pads(judgement: Judgement) -> str:
    leaked = Condition.LEAKED in judgement.position.conditions
    clean = "it leaked: deionised water, then alcohol, dry, look for eaten tracks and vias; " if leaked else ""
    return f"Pads: {clean}write sound, lifted, eaten or mended."


def _bag(judgement: Judgement) -> str:
    position, key = judgement.position, judgement.key
    photo = f"photo {position.photo}" if position.photo else "photo not recorded, take one first"
    if Condition.MISSING in position.conditions:
        return f"Bag: none, the place is empty; {photo}."
    return f"Bag: “{key.board} {place(key)} out”; {photo}."
