"""From requirements to a part that can be asked for in a shop: plain figures, each the tightest of its kind."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from recap.formulas.preferred import balancing_resistor_ohm, next_rating
from recap.model import Kind, Mounting, Relation, Requirement, Specification
from recap.rules import new_parts, reference, shopping
from recap.rules.asked import Asked
from recap.rules.capacitance import bounds, equal_pair
from recap.rules.case import AC_ROLES, Case
from recap.rules.kind import no_electrolytic
from recap.rules.voltage import sold_rating, voltage_floors
from recap.units import plain, si, volts

PARALLEL, SERIES = "two in parallel", "two in series"
FILM_KINDS = (Kind.FILM, Kind.PAPER, Kind.METALLISED_PAPER)
_SIZE_STEP_MM, _LEAD_STEP_MM = 0.1, 0.05  # finer figures cannot be bought by


@dataclass(frozen=True, slots=True)
class _Build:
    """How the value and rating are made: one part, or two that share."""

    capacitance_f: float
    window_f: tuple[float, float]
    rating_v: float
    arrangement: str = "single"
    notes: tuple[str, ...] = ()

    @property
    def pieces(self) -> int:
        return 1 if self.arrangement == "single" else 2

    def current_share(self, current_a: float | None) -> float | None:
        """Return what each piece carries: parts in parallel share it, parts in series do not."""
        return current_a / 2 if current_a is not None and self.arrangement == PARALLEL else current_a

    def resistance_share(self, resistance_ohm: float | None) -> float | None:
        """Return what each piece may show: twice the whole in parallel, half of it in series."""
        if resistance_ohm is None or self.arrangement == "single":
            return resistance_ohm
        return resistance_ohm * (2 if self.arrangement == PARALLEL else 0.5)


def specify(case: Case, requirements: tuple[Requirement, ...]) -> Specification | None:
    """Return the part to ask for: preferred figures where they can be met together with the musts.

    None where the value, the rating or, on the mains, the class is not known, and where no kind of part fits.
    """
    if bounds(case) is None or case.capacitance is None or case.rated_voltage is None or no_electrolytic(case):
        return None
    if case.across_mains and not reference.safety_substitutes(case.position.marked.safety_class.upper()):
        return None
    asked, body = Asked(requirements), case.position.body
    safety = asked.choices("safety_class")
    build = _build(case, asked)
    category = asked.floor("upper_category_temperature_c", None)
    ripple, ripple_frequency = asked.bound("ripple_current_a", Relation.AT_LEAST)
    esr_max, esr_frequency = asked.bound("esr_ohm", Relation.AT_MOST)
    esr_min, esr_min_frequency = asked.bound("esr_ohm", Relation.AT_LEAST)
    endurance = asked.floor("endurance_h", None)
    widest = shopping.down(asked.ceiling("diameter_mm", None), _SIZE_STEP_MM)
    height = shopping.down(_height(case, asked, widest), _SIZE_STEP_MM)
    return Specification(
        capacitance_f=build.capacitance_f,
        capacitance_window_f=build.window_f,
        rated_voltage_v=build.rating_v,
        kinds=_kinds(case, asked, build, widest, height),
        mounting=str(body.mounting),
        upper_category_temperature_c=None
        if category is None
        else next_rating(category, new_parts.upper_categories_c()) or category,
        endurance_h=endurance,
        endurance_temperature_c=None
        if endurance is None
        else case.policy.number("temperature", "preferred_category_c"),
        lead_spacings_mm=_pitches(case, asked),
        diameter_max_mm=widest,
        height_max_mm=height,
        lead_diameter_max_mm=shopping.down(asked.ceiling("lead_diameter_mm", None), _LEAD_STEP_MM),
        ripple_current_a=shopping.digits_up(build.current_share(ripple)),
        ripple_frequency_hz=ripple_frequency,
        esr_max_ohm=shopping.digits_down(build.resistance_share(esr_max)),
        esr_min_ohm=shopping.digits_up(build.resistance_share(esr_min)),
        esr_frequency_hz=esr_frequency,
        safety_classes=tuple(str(name) for name in safety),
        ac=case.rated_ac,
        pieces=build.pieces,
        arrangement=build.arrangement,
        notes=(*build.notes, *_notes(case, asked)),
        esr_min_frequency_hz=esr_min_frequency,
        lower_category_temperature_c=asked.lowest("lower_category_temperature_c"),
    )


def _build(case: Case, asked: Asked) -> _Build:
    """Return value and rating, single or as a pair where no single part serves."""
    value, limits = _value(case, asked)
    if case.rated_ac:
        floor = asked.floor("ac_voltage_v", case.rated_voltage.value if case.rated_voltage else 0.0)
        return _Build(value, limits, floor)
    must, wanted = voltage_floors(asked.items)
    rating = sold_rating(must, wanted)
    if rating is None and case.is_electrolytic:
        return _series_pair(case, value, limits, must)
    half = equal_pair(case) if asked.exactly("capacitance_f", None) is None else None
    if half is None:
        return _Build(value, limits, rating or must)
    return _Build(half, (limits[0] / 2, limits[1] / 2), rating or must, PARALLEL)


def _value(case: Case, asked: Asked) -> tuple[float, tuple[float, float]]:
    limits, given = bounds(case), case.capacitance
    assert limits is not None
    assert given is not None
    low, high = asked.floor("capacitance_f", limits[0], musts=True), asked.ceiling("capacitance_f", limits[1])
    value = asked.exactly("capacitance_f", given.value)
    return min(max(value, low), high), (low, high)


def _series_pair(case: Case, value: float, limits: tuple[float, float], bus: float) -> _Build:
    """Return two equal parts in series, each of twice the value and rated above half the voltage."""
    above = next((rating for rating in reference.common_ratings() if rating > bus / 2), None)
    if above is None:
        return _Build(value, limits, bus, notes=("no pair of common parts reaches this voltage either",))
    note = _balancing_note(case, 2 * value, above, bus)
    return _Build(2 * value, (2 * limits[0], 2 * limits[1]), above, SERIES, (note,))


def _balancing_note(case: Case, capacitance_f: float, rating: float, bus: float) -> str:
    body = case.position.body
    leakage = new_parts.leakage_limit(body.kind, body.mounting, capacitance_f, rating)
    resistor = balancing_resistor_ohm(rating, bus, leakage.limit_a)
    power = (bus / 2) ** 2 / resistor
    return (
        f"two of {volts(rating)} in series, each with at most {si(resistor, 'Ω')} across it "
        f"({plain(power)} W, fit twice that); they share {volts(bus)} only through these resistors"
    )


def _kinds(
    case: Case, asked: Asked, build: _Build, widest_mm: float | None, height_mm: float | None
) -> tuple[str, ...]:
    """Return the kinds that these figures and this room serve; one that needs other figures stays for thought."""
    kinds = asked.choices("kind") or (str(case.position.body.kind),)
    exchange = reference.kind_exchange(case.position.body.kind, case.position.role)
    others = exchange.other_figures if exchange is not None and not case.across_mains else frozenset()
    served = tuple(name for name in kinds if name not in others) or kinds
    if case.position.body.kind in FILM_KINDS or case.across_mains:
        return served
    body = case.position.body
    room = widest_mm or body.diameter_mm, height_mm or body.length_mm
    return tuple(name for name in served if name != Kind.FILM or _film_fits(build, *room)) or served


def _film_fits(build: _Build, diameter_mm: float | None, length_mm: float | None) -> bool:
    """Whether a film part of that charge goes into the room; yes where the room is not known."""
    if diameter_mm is None or length_mm is None:
        return True
    film = new_parts.film_volume_cm3(build.capacitance_f, build.rating_v)
    return film <= math.pi / 4 * diameter_mm**2 * length_mm / 1000


def _pitches(case: Case, asked: Asked) -> tuple[float, ...]:
    """Return the lead spacings that serve; of an axial part the distance of its holes, to which its leads are bent."""
    body = case.position.body
    if body.mounting is Mounting.AXIAL:
        return () if body.lead_spacing_mm is None else (body.lead_spacing_mm,)
    return tuple(float(pitch) for pitch in asked.choices("lead_spacing_mm"))


def _height(case: Case, asked: Asked, widest_mm: float | None) -> float | None:
    """Return the tallest body: the room less the vent space of the widest body that may come; the length if axial."""
    body = case.position.body
    if body.mounting is Mounting.AXIAL:
        return asked.ceiling("length_mm", None)
    room = asked.ceiling("height_with_vent_mm", None)
    if room is None:
        return None
    widest = widest_mm or body.diameter_mm or new_parts.widest_can_mm(body.mounting)
    return room - new_parts.vent_clearance_mm(widest)


def _notes(case: Case, asked: Asked) -> Iterable[str]:
    if case.switched:
        at = si(new_parts.frequency_band("high").frequency_hz, "Hz")
        yield f"low-impedance type, ESR stated at {at}"
    if case.position.role in AC_ROLES:
        yield _alternating(case)
    if case.position.body.mounting is Mounting.AXIAL and "radial" in asked.choices("mounting"):
        yield "radial only lying flat, leads lengthened in sleeving, body fixed"
    if case.position.body.kind is Kind.UNKNOWN:
        yield "kind not known: check the body before buying"


def _alternating(case: Case) -> str:
    measured = case.position.measured
    if measured.ripple_current_a is None:
        return "alternating voltage across it: bipolar or film, with a rating for the AC current"
    at = "" if measured.ripple_frequency_hz is None else f" at {si(measured.ripple_frequency_hz, 'Hz')}"
    return f"alternating voltage across it: bipolar or film, rated for {si(measured.ripple_current_a, 'A')} AC{at}"
