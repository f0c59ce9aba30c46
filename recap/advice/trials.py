"""The readings that may be missing, and outcomes that are plausible for each."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from recap.model import Basis, NetBy, PlusAt, Role
from recap.rules.case import Case
from recap.units import farads, plain, si, volts


@dataclass(frozen=True, slots=True)
class Outcome:
    """One plausible result of a reading and what the inspection would then say.

    `label` gives the figure for one position, `shared` says it for several at once.
    """

    label: str
    change: Callable[[Case], Case]
    shared: str = ""


@dataclass(frozen=True, slots=True)
class Trial:
    """A reading: where it is missing, how much of the key it speaks for, and what it might show."""

    id: str
    depth: int
    lacks: Callable[[Case], bool]
    outcomes: Callable[[Case], Sequence[Outcome]]


UNIT, BOARD, SECTION = 1, 2, 4

_SOUND_ESR, _BAD_ESR, _BAD_VALUE = 0.5, 4.0, 0.5
"""What a sound and a bad part may show, as parts of the ESR ceiling and of the marked value: our judgement."""


def _measured(case: Case, **readings: Any) -> Case:
    position = case.position
    return replace(case, position=replace(position, measured=replace(position.measured, **readings)))


def _undecided(case: Case) -> bool:
    """Visible damage and an inspector's word are not overturned by a reading."""
    return case.position.override is None and not (case.position.conditions - {"sound", "sleeve shrunk"})


def _lacks_esr(case: Case) -> bool:
    return case.esr_ceiling is not None and case.position.measured.esr_ohm is None and _undecided(case)


def _esr(case: Case) -> Sequence[Outcome]:
    ceiling = _esr_ceiling(case)
    return tuple(
        Outcome(
            f"{si(ceiling * share, 'Ω')} at 120 Hz in circuit", _read(esr_ohm=ceiling * share, in_circuit=True), shared
        )
        for share, shared in ((_SOUND_ESR, "within the ceiling"), (_BAD_ESR, "far above the ceiling"))
    )


def _lacks_capacitance(case: Case) -> bool:
    measured = case.position.measured
    read = measured.capacitance_f is not None and measured.in_circuit is False
    return case.capacitance is not None and not read and _undecided(case)


def _capacitance(case: Case) -> Sequence[Outcome]:
    value, ceiling = case.capacitance.value if case.capacitance else 0.0, _esr_ceiling(case)
    outcomes = []
    for share, esr_share, shared in ((1.0, _SOUND_ESR, "as marked"), (_BAD_VALUE, _BAD_ESR, "half the value")):
        read = _read(capacitance_f=value * share, esr_ohm=ceiling * esr_share or None, in_circuit=False)
        label = f"{farads(value * share)} and {si(ceiling * esr_share, 'Ω')} at 120 Hz"
        outcomes.append(Outcome(label, read, shared))
    return outcomes


def _esr_ceiling(case: Case) -> float:
    return case.esr_ceiling.value if case.esr_ceiling else 0.0


def _read(**readings: Any) -> Callable[[Case], Case]:
    """Return the change that writes readings taken at 120 Hz."""
    return lambda case: _measured(case, esr_frequency_hz=120.0, **readings)


def _lacks_voltage(case: Case) -> bool:
    known = case.working_voltage
    return known is not None and known.basis is Basis.ASSUMED


def _voltage(case: Case) -> Sequence[Outcome]:
    rated = case.rated_voltage.value if case.rated_voltage else 0.0

    def at(share: float) -> Callable[[Case], Case]:
        return lambda c: _measured(c, working_voltage_v=rated * share)

    return tuple(
        Outcome(f"{volts(rated * share)} on it", at(share), f"{plain(share * 100)} % of the rating on it")
        for share in (0.5, 0.95)
    )


def _lacks_net(case: Case) -> bool:
    return case.position.polar and case.position.polarity.net is PlusAt.NOT_SEEN


def _net(case: Case) -> Sequence[Outcome]:
    def plus(at: PlusAt) -> Callable[[Case], Case]:
        def change(c: Case) -> Case:
            polarity = c.position.polarity
            known = replace(polarity, net=at, net_by=NetBy.METER, pad_a=polarity.pad_a or "named on the spot")
            return replace(c, position=replace(c.position, polarity=known))

        return change

    return tuple(Outcome(str(at), plus(at)) for at in (PlusAt.A, PlusAt.OTHER))


def _lacks_air(case: Case) -> bool:
    return case.ambient.basis is Basis.ASSUMED and case.is_electrolytic


def _air(case: Case) -> Sequence[Outcome]:
    def at(celsius: float) -> Callable[[Case], Case]:
        return lambda c: replace(c, board=replace(c.board, air_temperature_c=celsius))

    room = case.unit.room_temperature_c
    return tuple(Outcome(f"{plain(room + rise)} °C", at(room + rise)) for rise in (10.0, 35.0))


def _lacks_year(case: Case) -> bool:
    return case.year is None and case.is_electrolytic


def _year(case: Case) -> Sequence[Outcome]:
    def made(year: int) -> Callable[[Case], Case]:
        return lambda c: replace(c, unit=replace(c.unit, year_made=year))

    return tuple(Outcome(f"made about {year}", made(year)) for year in (1978, 1990, 2003, case.present_year - 8))


def _lacks_role(case: Case) -> bool:
    return case.position.role is Role.UNKNOWN and case.is_electrolytic and case.capacitance is not None


def _role(case: Case) -> Sequence[Outcome]:
    def as_role(role: Role) -> Callable[[Case], Case]:
        return lambda c: replace(c, position=replace(c.position, role=role))

    return tuple(Outcome(str(r), as_role(r)) for r in (Role.DECOUPLING, Role.RESERVOIR, Role.COUPLING, Role.TIMING))


TRIALS = (
    Trial("net", SECTION, _lacks_net, _net),
    Trial("esr", SECTION, _lacks_esr, _esr),
    Trial("capacitance", SECTION, _lacks_capacitance, _capacitance),
    Trial("working-voltage", SECTION, _lacks_voltage, _voltage),
    Trial("role", SECTION, _lacks_role, _role),
    Trial("air", BOARD, _lacks_air, _air),
    Trial("year", UNIT, _lacks_year, _year),
)
