"""Why a position needs what it needs: the reasoning from what was found to what is demanded, rule by rule."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from recap.model import Judgement, LifeEstimate, Plan, PlusAt, Position, Reason, Requirement
from recap.outputs import life_words
from recap.outputs.demands import governing_text, grouped, reasons
from recap.outputs.steps import orientation
from recap.outputs.words import led_to, line_of, new_part, old_part
from recap.outputs.wrapping import WIDTH, wrapped
from recap.problems import RecapError
from recap.units import farads, plain, si, volts


class NoSuchPosition(RecapError):
    """No position, or more than one, goes by that name."""


def find_position(judgements: Sequence[Judgement], text: str) -> Judgement:
    """Return the position written as board/designator, unit/board/designator or a designator that is unique.

    A section of a multi-section can follows as /section. Raises NoSuchPosition with what was near.
    """
    wanted = [part.strip().casefold() for part in text.split("/")]
    found = [judgement for judgement in judgements if _goes_by(judgement, wanted)]
    if len(found) == 1:
        return found[0]
    if found:
        names = ", ".join(str(judgement.key) for judgement in found[:8])
        raise NoSuchPosition(f'"{text}" could be any of these; write one in full: {names}')
    same = [str(j.key) for j in judgements if j.key.designator.casefold() in wanted]
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


def explanation(plan: Plan, judgement: Judgement, width: int = WIDTH) -> list[str]:
    """Return the reasoning about one position as lines for people, none wider than `width`.

    From what was found to the decision, then each quantity with the demand that governs it first, what could
    not be checked, which way round, and how long it lasts.
    """
    use = plan.inspection.unit(judgement.key.unit).use_h_per_year
    sections = [
        [str(judgement.key)],
        ["Found", *_found(judgement.position)],
        _decision(judgement),
        ["Stop: settle this first", *judgement.stops] if judgement.stops else [],
        *_requirements(judgement.requirements),
        _contradictions(judgement),
        _asked_for(plan, judgement),
        _not_assessed(judgement),
        _orientation(judgement),
        _life("the original when it was new", judgement.life_as_found, use),
        _life("the part asked for", judgement.life_planned, use) if judgement.specification else [],
        _bench(judgement),
    ]
    lines: list[str] = []
    for section in filter(None, sections):
        lines += [""] * bool(lines)
        lines += wrapped(section[0], width)
        for text in section[1:]:
            lines += _wrapped(text, width)
    return lines


def _wrapped(text: str, width: int) -> list[str]:
    """Return a line indented under its heading, what runs over a little further in."""
    inner = text.lstrip(" ")
    indent = " " * (2 + len(text) - len(inner))
    return wrapped(inner, width, indent, indent + "    ")


def _decision(judgement: Judgement) -> list[str]:
    meant = f", and once the stop is settled: {judgement.meant}" if judgement.meant != judgement.decision else ""
    led = led_to(judgement)
    outweighed = [reason for reason in judgement.reasons if reason not in led]
    lines = [f"Decision: {judgement.decision}{meant} (rank {plain(judgement.rank)})"]
    lines += ["because", *_reasons(led)] if led else []
    return lines + (["outweighed", *_reasons(outweighed)] if outweighed else [])


def _reasons(reasons: Iterable[Reason]) -> list[str]:
    return [f"  {reason}" for reason in reasons]


def _found(position: Position) -> list[str]:
    measured, documented = position.measured, position.documented
    circuit = {True: " in circuit", False: " out of circuit", None: ""}[measured.in_circuit]
    conditions = ", ".join(sorted(str(condition) for condition in position.conditions))
    lines = [
        old_part(position),
        f"condition: {conditions}" if conditions else "",
        f"role: {position.role}" + (f", rail {position.rail}" if position.rail else ""),
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
    return f"{title}: {', '.join(texts)}" if texts else ""


def _requirements(requirements: Iterable[Requirement]) -> list[list[str]]:
    """Return a section for each subject; a quantity's line says what governs, the reasons stand under it."""
    sections = []
    for subject, quantities in grouped(requirements):
        lines = [subject]
        for name, demands in quantities:
            lines.append(f"{name}: {governing_text(demands)}")
            lines += [f"  {text}" for text in reasons(demands)]
        sections.append(lines)
    return sections


def _contradictions(judgement: Judgement) -> list[str]:
    found = [f"{item.quantity}: {item.text} ({', '.join(item.rules)})" for item in judgement.contradictions]
    return ["These demands exclude each other", *found] if found else []


def _asked_for(plan: Plan, judgement: Judgement) -> list[str]:
    spec, line = judgement.specification, line_of(plan, judgement)
    if spec is None:
        return []
    title = "Ask for" if judgement.decision == judgement.meant else "Ask for, once the stop is settled"
    return [title + (f" (line {line.id})" if line else ""), new_part(spec), *spec.notes]


def _not_assessed(judgement: Judgement) -> list[str]:
    if not judgement.not_assessed:
        return ["Not assessed", "nothing: every check that applies could be made"]
    return ["Not assessed", *(f"{item.rule}: {', '.join(item.missing)} not known" for item in judgement.not_assessed)]


def _orientation(judgement: Judgement) -> list[str]:
    found, polarity = judgement.orientation, judgement.position.polarity
    text = orientation(judgement)
    if not text and not found.conflicts and not found.missing:
        return []
    lines = [text] if text else []
    if judgement.position.polar:
        lines.append(f"pad A is the one {polarity.pad_a}" if polarity.pad_a else "no pad was named pad A")
        by = f" (by {polarity.net_by})" if polarity.net_by else ""
        witnesses = (("silkscreen", polarity.silkscreen), ("part found", polarity.as_found), (f"net{by}", polarity.net))
        lines.append("; ".join(f"{name}: {says}" for name, says in witnesses))
        seen = sum(says is not PlusAt.NOT_SEEN for _, says in witnesses)
        if found.text is not None:
            lines.append(f"the net decides{', and no other witness contradicts it' if seen > 1 else ''}")
    lines += [f"in dispute: {conflict}" for conflict in found.conflicts]
    return ["Which way round", *lines, *(f"missing: {item}" for item in found.missing)]


def _life(what: str, estimate: LifeEstimate | None, use_h_per_year: float) -> list[str]:
    title = f"How long it lasts here, estimated: {what}"
    if estimate is None:
        return [title, life_words.NOT_ESTIMATED]
    lines = [
        life_words.hours_text(estimate),
        life_words.years_text(estimate, use_h_per_year),
        f"nominal by the {life_words.model_text(estimate.model)}; from {life_words.inputs_text(estimate)}",
        *(f"limit: {text}" for text in life_words.clamp_texts(estimate)),
        *(f"would narrow it: {reading}" for reading in estimate.narrower),
    ]
    return [title, *lines, *_models(estimate)]


def _models(estimate: LifeEstimate) -> Sequence[str]:
    figures = life_words.model_lines(estimate)
    return ["each model's own figure, before the ceiling:", *(f"  {line}" for line in figures)] if figures else ()


def _bench(judgement: Judgement) -> list[str]:
    notes = [*(f"Danger: {text}" for text in judgement.hazards), *judgement.fitting_notes]
    return ["At the bench", *notes] if notes else []
