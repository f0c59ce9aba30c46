"""Size: holes, neighbours and height, with the air that the part's own vent needs."""

from __future__ import annotations

from collections.abc import Iterable

from recap.model import Basis, Input, Mounting, Relation, Requirement, Stance
from recap.rules import new_parts
from recap.rules.case import Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import plain

_LEADED = (Mounting.RADIAL, Mounting.UNKNOWN)
_FIXED = (Mounting.SMD_CAN, Mounting.SCREW, Mounting.TWIST_LOCK)
_RIGID = (Mounting.SNAP_IN, Mounting.SCREW, Mounting.TWIST_LOCK)


def _mm(name: str, value: float, basis: Basis = Basis.MEASURED) -> Input:
    return Input(name, f"{plain(value)} mm", basis)


@rule("lead-spacing", "Leads that reach the holes", "common-practice", "lead spacing")
def lead_spacing(case: Case, say: Say) -> Iterable[Outcome]:
    """Equal spacing is preferred; radial leads may be formed within the policy's limit; rigid terminals may not."""
    body = case.position.body
    if body.mounting in (Mounting.AXIAL, Mounting.SMD_CAN, Mounting.CHIP):
        return
    drilled = body.lead_spacing_mm
    if drilled is None:
        yield say.missing("lead spacing")
        return
    seen = _mm("lead spacing", drilled)
    if body.mounting in _RIGID:
        yield say.demand(
            "lead_spacing_mm", Relation.ONE_OF, (drilled,), "mm", [seen],
            "rigid terminals must match the holes", f"lead spacing {plain(drilled)} mm",
        )  # fmt: skip
        return
    limit = case.policy.number("size", "forming_limit_mm")
    others = [p for p in new_parts.radial_spacings_mm() if p != drilled and abs(p - drilled) <= limit + 1e-9]
    allowed = (drilled, *sorted(others, key=lambda spacing: abs(spacing - drilled)))
    yield say.demand(
        "lead_spacing_mm", Relation.ONE_OF, allowed, "mm", [seen],
        f"equal, or formed by at most {plain(limit)} mm without straining the seal, "
        "or reached by a wider can of a higher voltage",
        "lead spacing one of " + ", ".join(plain(p) for p in allowed) + " mm",
        source=case.policy.source("size", "forming_source"),
    )  # fmt: skip
    yield say.demand(
        "lead_spacing_mm", Relation.ONE_OF, (drilled,), "mm", [seen], "straight leads are kindest to the seal",
        f"lead spacing {plain(drilled)} mm", prefer=True,
    )  # fmt: skip


@rule("body-diameter", "Room beside the body", "our-judgement", "diameter")
def body_diameter(case: Case, say: Say) -> Iterable[Outcome]:
    """The body may grow into the gap to its nearest neighbour, less a clearance."""
    diameter, gap = case.position.body.diameter_mm, case.neighbour_gap
    mounting = case.position.body.mounting
    if mounting in _FIXED and diameter is not None:
        yield _as_wide_as_it_was(say, diameter, mounting)
        return
    if diameter is None or gap is None:
        lacking = [name for name, value in (("diameter", diameter), ("gap to the neighbour", gap)) if value is None]
        yield say.missing(*lacking)
        return
    clearance = case.policy.number("size", "body_clearance_mm")
    limit = diameter + max(gap.value - clearance, 0.0)
    operation = f"old diameter plus the gap less {plain(clearance)} mm, since the neighbour may grow as well"
    source = case.policy.source("size", "clearance_source")
    growth = case.policy.number("size", "unmeasured_growth")
    if gap.basis is not Basis.MEASURED and limit > diameter * (1 + growth):
        limit, source = diameter * (1 + growth), case.policy.source("size", "growth_source")
        operation = f"at most {plain(growth * 100)} % wider, since parts that are not listed stand in between"
    yield say.demand(
        "diameter_mm", Relation.AT_MOST, limit, "mm", [_mm("diameter", diameter), gap.input], operation,
        f"diameter at most {plain(limit)} mm", source=source,
    )  # fmt: skip


def _as_wide_as_it_was(say: Say, diameter_mm: float, mounting: Mounting) -> Requirement:
    """Pads, ring or clamp are made for one size of can, so air beside it is no room to grow."""
    return say.demand(
        "diameter_mm", Relation.AT_MOST, diameter_mm, "mm", [_mm("diameter", diameter_mm)],
        f"pads or clamp of this {mounting} are made for its size of can",
        f"diameter at most {plain(diameter_mm)} mm",
    )  # fmt: skip


@rule("body-height", "Room above the body and its vent", "kemet-a4006-esc", "height")
def body_height(case: Case, say: Say) -> Iterable[Outcome]:
    """Height plus the free space that the part's own vent needs stays within the room above; an axial one lies."""
    if case.position.body.mounting is Mounting.CHIP:
        return
    room = case.room_above
    if room is None:
        yield say.missing("room above, or the board's height limit")
        return
    if case.position.body.mounting is Mounting.AXIAL:
        yield say.demand(
            "diameter_mm", Relation.AT_MOST, room.value, "mm", [room.input], "it lies on the board",
            f"diameter at most {plain(room.value)} mm", source="our-judgement",
        )  # fmt: skip
        return
    yield say.demand(
        "height_with_vent_mm", Relation.AT_MOST, room.value, "mm", [room.input],
        f"height plus the space over the part's own vent ({new_parts.vent_clearance_words()})",
        f"height with vent space at most {plain(room.value)} mm",
    )  # fmt: skip


@rule("axial-length", "A body that leaves its leads room to bend", "our-judgement", "length")
def axial_length(case: Case, say: Say) -> Iterable[Outcome]:
    """Between the holes an axial body needs straight leads to either side before their bends."""
    body = case.position.body
    if body.mounting is not Mounting.AXIAL:
        return
    pitch = body.lead_spacing_mm
    if pitch is None:
        yield say.missing("lead spacing (from hole to hole)")
        return
    bend = case.policy.number("size", "lead_bend_mm")
    limit = pitch - 2 * bend
    yield say.demand(
        "length_mm", Relation.AT_MOST, limit, "mm", [_mm("hole to hole", pitch)],
        f"holes less {plain(bend)} mm of straight lead at each end", f"length at most {plain(limit)} mm",
        source=case.policy.source("size", "lead_bend_source"),
    )  # fmt: skip


@rule("lead-hole", "Leads that pass the holes", "our-judgement", "lead diameter")
def lead_hole(case: Case, say: Say) -> Iterable[Outcome]:
    """The lead is thinner than its hole by a clearance."""
    if case.position.body.mounting in (Mounting.SMD_CAN, Mounting.CHIP):
        return
    hole = case.position.body.hole_diameter_mm
    if hole is None:
        yield say.missing("hole diameter")
        return
    clearance = case.policy.number("size", "hole_clearance_mm")
    yield say.demand(
        "lead_diameter_mm", Relation.AT_MOST, hole - clearance, "mm", [_mm("hole", hole)],
        f"hole less {plain(clearance)} mm", f"lead diameter at most {plain(hole - clearance)} mm",
        source=case.policy.source("size", "clearance_source"),
    )  # fmt: skip


@rule("mounting", "The same mounting, or an accepted exchange", "common-practice", "mounting")
def mounting(case: Case, say: Say) -> Iterable[Outcome]:
    """Radial for radial; axial may become radial under conditions, where the policy allows it."""
    found = case.position.body.mounting
    if found is Mounting.UNKNOWN:
        yield say.missing("mounting")
        return
    seen = Input("mounting", str(found), Basis.MEASURED)
    yield say.demand(
        "mounting", Relation.ONE_OF, (str(found),), "", [seen], "made for the same holes and fixing",
        f"mounting {found}", prefer=found is Mounting.AXIAL,
    )  # fmt: skip
    if found is Mounting.AXIAL and case.policy.choice("axial_by_radial") == "allow":
        yield say.demand(
            "mounting", Relation.ONE_OF, ("axial", "radial"), "", [seen],
            "a radial part may lie flat there if its leads are lengthened in sleeving and the body is fixed",
            "mounting axial or radial",
        )  # fmt: skip
    elif found is Mounting.AXIAL:
        yield say.demand(
            "mounting", Relation.ONE_OF, ("axial",), "", [seen], "policy refuses radial parts on axial places",
            "mounting axial",
        )  # fmt: skip
    terminals = case.position.body.terminals
    if terminals is not None and terminals > 2:
        yield Note(f"{terminals} terminals: find out with the meter which are minus, sections or only for fixing.")
    if found is Mounting.TWIST_LOCK:
        yield Note("Check with the meter whether the can is the minus of every section and whether it is isolated.")


@rule("appearance", "Looks like the original", "common-practice", "diameter")
def appearance(case: Case, say: Say) -> Iterable[Outcome]:
    """Under a stance of conserve a body of the original's size is preferred."""
    diameter = case.position.body.diameter_mm
    if case.unit.stance is not Stance.CONSERVE:
        return
    if diameter is None:
        yield say.missing("diameter")
        return
    fraction = case.policy.number("size", "appearance_fraction")
    stance = Input("stance", str(case.unit.stance), case.unit_basis("stance"))
    yield say.demand(
        "diameter_mm", Relation.AT_LEAST, diameter * fraction, "mm", [stance, _mm("diameter", diameter)],
        f"at least {plain(fraction * 100)} % of the original's diameter keeps the look and covers the pads",
        f"diameter at least {plain(diameter * fraction)} mm", prefer=True,
        source=case.policy.source("size", "appearance_source"),
    )  # fmt: skip
