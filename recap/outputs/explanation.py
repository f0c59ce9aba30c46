"""Why a position needs what it needs: the reasoning from what was found to what is demanded, rule by rule."""

from __future__ import annotations

import re
from collections.abc import Iterable

from recap.model import Judgement, Plan, Position, Requirement, Strength
from recap.outputs.steps import orientation
from recap.outputs.words import life, line_of, new_part, old_part
from recap.problems import RecapError
from recap.units import farads, plain, si, volts

_UNIT_ENDINGS = re.compile(r"_(?:v|f|c|a|mm|h|hz|ohm)$")


class NoSuchPosition(RecapError):
    """No position, or more than one, goes by that name."""


def find_position(plan: Plan, text: str) -> Judgement:
    """Return the position written as board/designator, unit/board/designator or a designator that is unique.

    A section of a multi-section can follows as /section. Raises NoSuchPosition with what was near.
    """
    wanted = [part.strip().casefold() for part in text.split("/")]
    found = [judgement for judgement in plan.judgements if _goes_by(judgement, wanted)]
    if len(found) == 1:
        return found[0]
    if found:
        names = ", ".join(str(judgement.key) for judgement in found[:8])
        raise NoSuchPosition(f'"{text}" could be any of these; write one in full: {names}')
    same = [str(j.key) for j in plan.judgements if j.key.designator.casefold() in wanted]
    hint = f"; there is {', '.join(same[:8])}" if same else ""
    raise NoSuchPosition(f'no position "{text}"{hint}')


def _goes_by(judgement: Judgement, wanted: list[str]) -> bool:
    """Whether the parts are the key's last ones, with or without its section.

    Names may hold a slash themselves, so the whole text is compared, not part with part.
    """
    parts = [part.casefold() for part in judgement.key]
    full = [part for part in parts if part]
    text = "/".join(wanted)
    endings = {"/".join(full[start:]) for start in range(3)}
    endings |= {"/".join(parts[start:3]) for start in range(3)}
    return text in endings


def explanation(plan: Plan, judgement: Judgement) -> list[str]:
    """Return the reasoning about one position as lines for people."""
    position = judgement.position
    lines = [str(judgement.key), "", "Found", *_indent(_found(position))]
    lines += ["", f"Decision: {judgement.decision}" + _meant(judgement) + f" (rank {plain(judgement.rank)})"]
    lines += _indent(str(reason) for reason in judgement.reasons)
    if judgement.stops:
        lines += ["", "Stop: settle this first", *_indent(judgement.stops)]
    lines += _requirements(judgement.requirements)
    if judgement.contradictions:
        lines += ["", "These demands exclude each other"]
        lines += _indent(f"{c.quantity}: {c.text} ({', '.join(c.rules)})" for c in judgement.contradictions)
    if judgement.specification is not None:
        line = line_of(plan, judgement)
        lines += ["", "Ask for" + (f" (line {line.id})" if line else "")]
        lines += _indent([new_part(judgement.specification), *judgement.specification.notes])
    lines += _orientation(judgement)
    lines += _life(judgement)
    lines += ["", "Not assessed"]
    missing = [f"{item.rule}: {', '.join(item.missing)} not known" for item in judgement.not_assessed]
    lines += _indent(missing or ["nothing: every check that applies could be made"])
    notes = [*(f"Danger: {text}" for text in judgement.hazards), *judgement.fitting_notes]
    return lines + (["", "At the bench", *_indent(notes)] if notes else [])


def _meant(judgement: Judgement) -> str:
    return f", and once that is settled {judgement.meant}" if judgement.meant != judgement.decision else ""


def _found(position: Position) -> list[str]:
    measured, documented = position.measured, position.documented
    circuit = {True: " in circuit", False: " out of circuit", None: ""}[measured.in_circuit]
    conditions = ", ".join(sorted(str(condition) for condition in position.conditions))
    lines = [
        old_part(position),
        f"condition {conditions}" if conditions else "",
        f"role {position.role}" + (f", rail {position.rail}" if position.rail else ""),
        _listed(
            "documented",
            (farads, documented.capacitance_f),
            (volts, documented.rated_voltage_v),
        ),
        _listed(
            f"measured{circuit}",
            (farads, measured.capacitance_f),
            (lambda v: f"ESR {si(v, 'Ω')}{_at(measured.esr_frequency_hz)}", measured.esr_ohm),
            (lambda v: f"leakage {si(v, 'A')}", measured.leakage_a),
            (lambda v: f"working voltage {volts(v)}", measured.working_voltage_v),
            (lambda v: f"ripple {si(v, 'A')}{_at(measured.ripple_frequency_hz)}", measured.ripple_current_a),
            (lambda v: f"body {plain(v)} °C", measured.body_temperature_c),
        ),
        f"note: {position.note}" if position.note else "",
    ]
    if position.override is not None:
        lines.append(f"the sheet itself says {position.override}: {position.override_reason or 'no reason given'}")
    return [line for line in lines if line]


def _at(frequency_hz: float | None) -> str:
    return f" at {si(frequency_hz, 'Hz')}" if frequency_hz is not None else " at an unknown frequency"


def _listed(title: str, *items: tuple[object, float | None]) -> str:
    texts = [show(value) for show, value in items if value is not None and callable(show)]
    return f"{title} {', '.join(texts)}" if texts else ""


def _requirements(requirements: Iterable[Requirement]) -> list[str]:
    quantities: dict[tuple[str, float | None], list[Requirement]] = {}
    for item in requirements:
        quantities.setdefault((item.quantity, item.frequency_hz), []).append(item)
    lines = []
    for (quantity, frequency), items in quantities.items():
        at = f" at {si(frequency, 'Hz')}" if frequency is not None else ""
        name = _UNIT_ENDINGS.sub("", quantity).replace("_", " ").replace("esr", "ESR")
        lines += ["", name[:1].upper() + name[1:] + at]
        ordered = sorted(items, key=lambda item: (not item.governing, item.strength is Strength.PREFER))
        for item in ordered:
            mark = "governs" if item.governing else "also"
            lines.append(f"  {mark}, {item.strength}: {item.reason}")
    return lines


def _orientation(judgement: Judgement) -> list[str]:
    found = judgement.orientation
    text = orientation(judgement)
    if not text and not found.conflicts and not found.missing:
        return []
    polarity = judgement.position.polarity
    witnesses = f"silkscreen: {polarity.silkscreen}; as found: {polarity.as_found}; net: {polarity.net}"
    by = f" by {polarity.net_by}" if polarity.net_by else ""
    pad = f"pad A is {polarity.pad_a}; " if polarity.pad_a else ""
    details = [text, f"{pad}{witnesses}{by}"] if judgement.position.polar else [text]
    details += [f"in dispute: {conflict}" for conflict in found.conflicts]
    details += [f"missing: {item}" for item in found.missing]
    return ["", "Orientation", *_indent(item for item in details if item)]


def _life(judgement: Judgement) -> list[str]:
    if judgement.life_as_found is None and judgement.life_planned is None:
        return []
    lines = [f"as found: {life(judgement.life_as_found)}"]
    if judgement.specification is not None:
        lines.append(f"with the part asked for: {life(judgement.life_planned)}")
    return ["", "How long it lasts here, estimated", *_indent(lines)]


def _indent(lines: Iterable[str]) -> list[str]:
    return [f"  {line}" for line in lines]
