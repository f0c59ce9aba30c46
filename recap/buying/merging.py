"""Which specifications one part can serve: a smallest cover, found exactly.

A candidate is a value, a rating, a hole pitch, the frequencies at which ripple and ESR are stated, and a body: figures
that some position asks for, common values in two windows, and the cans in which such a charge is usually sold. The
fewest candidates that cover all specifications are chosen by an integer program, and among equal counts those that
change what the positions ask for least, so that a line has the figures that most of its positions want.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import product

from recap.buying.candidates import (
    Can,
    Candidate,
    Limits,
    Want,
    can_serves,
    drilled_mm,
    own_can,
    pitch_serves,
    rating_serves,
    stated_of,
    stated_serves,
    uplift,
    usual_cans,
    value_serves,
    values_of,
)
from recap.buying.cover import least_cover
from recap.model import Judgement, Role, Specification
from recap.policy import Policy
from recap.ruledata import table

Members = tuple[Judgement, ...]
"""Judgements that share one specification."""

_CLOSE = 1e-9


@dataclass(frozen=True, slots=True)
class Group:
    """A candidate with all that it serves."""

    candidate: Candidate
    members: tuple[Members, ...]

    @property
    def specifications(self) -> tuple[Specification, ...]:
        """The distinct specifications served."""
        return tuple(_spec(members) for members in self.members)


def groups_of(members: Sequence[Members], policy: Policy) -> list[Group]:
    """Return the fewest groups that cover all members."""
    families: dict[tuple[object, ...], list[Members]] = defaultdict(list)
    for item in members:
        families[_family(_spec(item))].append(item)
    limits = Limits.of(policy)
    return [group for family in families.values() for group in _cover(family, limits)]


def _spec(members: Members) -> Specification:
    specification = members[0].specification
    assert specification is not None
    return specification


def want_of(members: Members) -> Want:
    """Return what judgements of one specification want; the value is held where one of their roles holds it."""
    held = any(judgement.position.role in _held_roles() for judgement in members)
    return Want(_spec(members), sum(judgement.position.quantity for judgement in members), held)


def _held_roles() -> frozenset[Role]:
    return frozenset(Role(row["role"]) for row in table("role_windows") if row["held"] == "yes")


def _family(spec: Specification) -> tuple[object, ...]:
    """Return what must be equal for two specifications to share a part at all; mains parts share within a class."""
    return (
        spec.kinds[0], spec.mounting, spec.safety_classes, spec.ac, spec.pieces, spec.arrangement,
        spec.endurance_temperature_c, spec.notes,
    )  # fmt: skip


def _cover(family: list[Members], limits: Limits) -> list[Group]:
    wants = [want_of(members) for members in family]
    candidates = _candidates(wants, limits)
    costs = [
        {index: wants[index].positions * uplift(candidate, wants[index].specification) for index in served}
        for candidate, served in candidates
    ]
    serving: dict[int, list[Members]] = defaultdict(list)
    for index, column in enumerate(least_cover(len(wants), costs)):
        serving[column].append(family[index])
    return [Group(candidates[column][0], tuple(items)) for column, items in serving.items()]


def _candidates(wants: Sequence[Want], limits: Limits) -> list[tuple[Candidate, tuple[int, ...]]]:
    """Return candidates with what each serves; of equal value, rating and pitch only those that none outdoes.

    What each figure serves is kept as the bits of a number, so that a candidate costs a few ands.
    """
    specs = [want.specification for want in wants]
    pitches = {
        pitch: (_bits(pitch_serves(pitch, spec) for spec in specs), _bits(drilled_mm(spec) == pitch for spec in specs))
        for pitch in {drilled_mm(spec): None for spec in specs}
    }
    tests = [(test, _bits(stated_serves(test, spec) for spec in specs)) for test in stated_of(specs)]
    ratings = {
        rating: _bits(rating_serves(rating, spec, limits) for spec in specs)
        for rating in sorted({spec.rated_voltage_v for spec in specs})
    }
    found = []
    for value in values_of(specs):
        of_value = _bits(value_serves(value, want, limits) for want in wants)
        for rating, of_rating in ratings.items():
            asked = _bits(spec.rated_voltage_v == rating for spec in specs)
            both = of_value & of_rating
            if not both & asked:
                continue  # a lower rating serves the same
            cans = _cans(value, rating, specs, both)
            for pitch, (of_pitch, drilled) in pitches.items():
                served = {}
                for (test, of_test), (can, of_can) in product(tests, cans):
                    bits = both & of_pitch & of_test & of_can
                    if bits & asked and bits & drilled:
                        served[bits] = test, can
                found += [(Candidate(value, rating, pitch, *served[bits]), _indices(bits)) for bits in _largest(served)]
    return found


def _cans(value_f: float, rating_v: float, specs: Sequence[Specification], near: int) -> list[tuple[Can, int]]:
    """Return the bodies that such a part may have, with what they fit.

    Where a position asks for as much charge already, its own room counts as proof that such a part exists.
    """
    charge = value_f * rating_v * (1 - _CLOSE)
    indices = _indices(near)
    cans = [
        own_can(specs[index])
        for index in indices
        if charge <= specs[index].capacitance_f * specs[index].rated_voltage_v
    ]
    cans += usual_cans(value_f, rating_v, specs[0])
    near_specs = [(1 << index, specs[index]) for index in indices]
    once = reversed(dict.fromkeys(reversed(cans)))
    found = {sum(bit for bit, spec in near_specs if can_serves(can, spec)): can for can in once}
    return [(found[bits], bits) for bits in _largest(found)]


def _bits(flags: Iterable[bool]) -> int:
    return int("".join("1" if flag else "0" for flag in flags)[::-1] or "0", 2)


def _indices(bits: int) -> tuple[int, ...]:
    return tuple(index for index in range(bits.bit_length()) if bits >> index & 1)


def _largest(sets: Iterable[int]) -> list[int]:
    """Return the sets that lie in no other."""
    kept: list[int] = []
    for bits in sorted(set(sets), key=lambda each: (-each.bit_count(), each)):
        if bits and not any(bits & other == bits for other in kept):
            kept.append(bits)
    return kept


def merge(group: Group) -> Specification:
    """Return the one specification that meets every member: the tightest of each plain figure."""
    candidate = group.candidate
    return tightest(group.specifications, candidate.capacitance_f, candidate.rated_voltage_v, candidate.spacing_mm)


def tightest(
    specs: Sequence[Specification], capacitance_f: float, rated_voltage_v: float, spacing_mm: float | None
) -> Specification:
    """Return what specifications ask for together, at a value, a rating and a hole pitch."""
    first = specs[0]
    return replace(
        first,
        capacitance_f=capacitance_f,
        capacitance_window_f=(
            max(spec.capacitance_window_f[0] for spec in specs),
            min(spec.capacitance_window_f[1] for spec in specs),
        ),
        rated_voltage_v=rated_voltage_v,
        kinds=tuple(kind for kind in first.kinds if all(kind in spec.kinds for spec in specs)),
        upper_category_temperature_c=_tightest(max, (s.upper_category_temperature_c for s in specs)),
        endurance_h=_tightest(max, (s.endurance_h for s in specs)),
        lead_spacings_mm=_common_pitches(spacing_mm, specs),
        diameter_max_mm=_tightest(min, (s.diameter_max_mm for s in specs)),
        height_max_mm=_tightest(min, (s.height_max_mm for s in specs)),
        lead_diameter_max_mm=_tightest(min, (s.lead_diameter_max_mm for s in specs)),
        ripple_current_a=_tightest(max, (s.ripple_current_a for s in specs)),
        ripple_frequency_hz=_common(s.ripple_frequency_hz for s in specs),
        esr_max_ohm=_tightest(min, (s.esr_max_ohm for s in specs)),
        esr_frequency_hz=_common(s.esr_frequency_hz for s in specs),
        esr_min_ohm=_tightest(max, (s.esr_min_ohm for s in specs)),
        esr_min_frequency_hz=_common(s.esr_min_frequency_hz for s in specs),
        lower_category_temperature_c=_tightest(min, (s.lower_category_temperature_c for s in specs)),
    )


def _common_pitches(wanted_mm: float | None, specs: Sequence[Specification]) -> tuple[float, ...]:
    """Return the pitches that serve every member, the candidate's own first."""
    shared = [p for p in specs[0].lead_spacings_mm if all(p in spec.lead_spacings_mm for spec in specs)]
    first = [] if wanted_mm is None else [wanted_mm]
    return (*first, *(pitch for pitch in shared if pitch != wanted_mm))


def _tightest(choose: Callable[[list[float]], float], values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return choose(known) if known else None


def _common(values: Iterable[float | None]) -> float | None:
    """Return the one figure that all who name one share."""
    return next((value for value in values if value is not None), None)
