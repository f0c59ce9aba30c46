"""Capacitors, specifications and estimates in the words of the trade."""

from __future__ import annotations

import re
from collections.abc import Iterable

from recap.model import (
    Decision,
    Judgement,
    Mounting,
    OrderLine,
    Part,
    Plan,
    Position,
    PositionKey,
    Reason,
    Specification,
)
from recap.outputs.demands import tenths
from recap.units import farads, plain, si, volts

NOTHING_KNOWN = "nothing known about it"
_GENERAL_RULES = {"age-and-stance", "heat-nearby"}


def natural(text: str) -> tuple[tuple[int, str], ...]:
    """Return a sort key that puts C2 before C10.

    >>> sorted(["C10", "C2"], key=natural)
    ['C2', 'C10']
    """
    return tuple((int(part), "") if part.isdecimal() else (-1, part) for part in re.split(r"(\d+)", text))


def key_order(key: PositionKey) -> tuple[tuple[tuple[int, str], ...], ...]:
    """Return the sort key of a position: unit, board, designator, section, each in natural order."""
    return tuple(natural(part) for part in key)


def place(key: PositionKey) -> str:
    """Return designator and section, as written on the board.

    >>> place(PositionKey("U", "B", "C7", "A"))
    'C7/A'
    """
    return "/".join(part for part in (key.designator, key.section) if part)


def mm(value: float) -> str:
    """Return a length."""
    return f"{plain(value, 3)} mm"


def at_most_mm(value: float) -> str:
    """Return the largest length allowed, to a tenth of a millimetre and never more than it is."""
    return f"{plain(tenths(value), 4)} mm"


def where_used(keys: Iterable[PositionKey], many_units: bool) -> str:
    """Return positions gathered by board: "Power supply: C1, C2; Main logic: C7"."""
    boards: dict[str, list[str]] = {}
    for key in sorted(keys, key=key_order):
        board = f"{key.unit}, {key.board}" if many_units else key.board
        boards.setdefault(board, []).append(place(key))
    return "; ".join(f"{board}: {', '.join(names)}" for board, names in boards.items())


def many_units(plan: Plan) -> bool:
    """Whether a board's name alone may not say which machine is meant."""
    return len(plan.inspection.units) > 1


def old_part(position: Position) -> str:
    """Return what comes out, as far as it is known."""
    body, marked = position.body, position.marked
    parts = [
        farads(position.capacitance_f) if position.capacitance_f is not None else "",
        _rating(position),
        str(body.kind) if body.kind != "unknown" else "",
        str(body.mounting) if body.mounting != "unknown" else "",
        _size(body.diameter_mm, body.length_mm),
        f"{mm(body.lead_spacing_mm)} lead spacing" if body.lead_spacing_mm is not None else "",
        f"{plain(marked.temperature_c)} °C" if marked.temperature_c is not None else "",
    ]
    text = ", ".join(part for part in parts if part) or NOTHING_KNOWN
    return f"{text}; marked “{marked.text}”" if marked.text else text


def _rating(position: Position) -> str:
    if position.rated_voltage_v is None:
        return ""
    text = volts(position.rated_voltage_v) + (" AC" if position.marked.ac else "")
    return f"{text} {position.marked.safety_class}".strip()


def _size(diameter: float | None, length: float | None) -> str:
    if diameter is not None and length is not None:
        return f"⌀{plain(diameter)} × {mm(length)}"
    if diameter is not None:
        return f"⌀{mm(diameter)}"
    return f"{mm(length)} long" if length is not None else ""


def new_part(spec: Specification) -> str:
    """Return a specification as one line to read out at a counter."""
    pieces = f"{spec.pieces} × " if spec.pieces > 1 else ""
    head = f"{pieces}{farads(spec.capacitance_f)}, at least {volts(spec.rated_voltage_v)}"
    parts = [
        head + (" AC" if spec.ac else ""),
        f"class {' or '.join(spec.safety_classes)}" if spec.safety_classes else "",
        " or ".join(spec.kinds),
        spec.mounting,
        *specification_limits(spec).values(),
    ]
    if spec.arrangement != "single":
        parts.append(spec.arrangement)
    return ", ".join(part for part in parts if part)


def chosen_part(part: Part, pieces: int = 1) -> str:
    """Return a chosen part as one line: whose it is, and what tells it from others in a bag.

    >>> chosen_part(Part(maker="Ostarra (invented)", mpn="GR1", capacitance_f=220e-6, rated_voltage_v=50.0,
    ...     kind="wet aluminium", diameter_mm=10.0, length_mm=12.5, lead_spacing_mm=5.0))
    'Ostarra (invented) GR1, 220 µF 50 V, wet aluminium, ⌀10 × 12.5 mm, lead spacing 5 mm'
    """
    name = " ".join(filter(None, (part.maker, part.mpn))) or part.text or part.order_code
    figures = [
        farads(part.capacitance_f) if part.capacitance_f is not None else "",
        volts(part.rated_voltage_v) if part.rated_voltage_v is not None else "",
        f"{volts(part.ac_voltage_v)} AC" if part.ac_voltage_v is not None else "",
        part.safety_class,
    ]
    texts = [
        f"{pieces} × {name}" if pieces > 1 else name,
        " ".join(filter(None, figures)),
        str(part.kind or ""),
        _size(part.diameter_mm, part.length_mm),
        f"lead spacing {mm(part.lead_spacing_mm)}" if part.lead_spacing_mm is not None else "",
    ]
    return ", ".join(filter(None, texts))


def short_part(spec: Specification) -> str:
    """Return a specification in the few words that fit a label."""
    pieces = f"{spec.pieces} × " if spec.pieces > 1 else ""
    classes = f" {' or '.join(spec.safety_classes)}" if spec.safety_classes else ""
    ac = " AC" if spec.ac else ""
    value = f"{pieces}{farads(spec.capacitance_f)}, {volts(spec.rated_voltage_v)}{ac} or more{classes}"
    return f"{value}, {' or '.join(spec.kinds)}, {spec.mounting}"


def specification_limits(spec: Specification) -> dict[str, str]:
    """Return the further demands by name, leaving out what is not demanded."""
    endurance = f"{plain(spec.endurance_h, 4)} h" if spec.endurance_h is not None else ""
    if endurance and spec.endurance_temperature_c is not None:
        endurance += f" at {plain(spec.endurance_temperature_c)} °C"
    size = [
        f"⌀ at most {at_most_mm(spec.diameter_max_mm)}" if spec.diameter_max_mm is not None else "",
        f"{standing(spec)} at most {at_most_mm(spec.height_max_mm)}" if spec.height_max_mm is not None else "",
    ]
    floor_frequency_hz = spec.esr_min_frequency_hz or spec.esr_frequency_hz
    limits = {
        "temperature": _at_least(spec.upper_category_temperature_c, "°C"),
        "cold": f"usable down to {_minus(spec.lower_category_temperature_c)} °C"
        if spec.lower_category_temperature_c is not None
        else "",
        "endurance": endurance,
        "lead_spacing": lead_spacing(spec),
        "size": ", ".join(part for part in size if part),
        "leads": f"leads at most {mm(spec.lead_diameter_max_mm)}" if spec.lead_diameter_max_mm else "",
        "ripple": _with_frequency("ripple at least", spec.ripple_current_a, "A", spec.ripple_frequency_hz),
        "esr_max": _with_frequency("ESR at most", spec.esr_max_ohm, "Ω", spec.esr_frequency_hz),
        "esr_min": _with_frequency("ESR at least", spec.esr_min_ohm, "Ω", floor_frequency_hz),
    }
    return {name: text for name, text in limits.items() if text}


def standing(spec: Specification) -> str:
    """Return what a part's long side is called: an axial body lies down."""
    return "length" if spec.mounting == Mounting.AXIAL else "height"


def lead_spacing(spec: Specification) -> str:
    """Return the hole pitch a part must have or be formed to."""
    if not spec.lead_spacings_mm:
        return ""
    first, *others = spec.lead_spacings_mm
    formed = f" ({', '.join(plain(pitch) for pitch in sorted(others))} mm: form the leads)" if others else ""
    return f"lead spacing {mm(first)}{formed}"


def _at_least(value: float | None, unit: str) -> str:
    return f"{plain(value)} {unit} or higher" if value is not None else ""


def _minus(value: float) -> str:
    return plain(value).replace("-", "−")


def _with_frequency(name: str, value: float | None, unit: str, frequency_hz: float | None) -> str:
    if value is None:
        return ""
    at = f" at {si(frequency_hz, 'Hz')}" if frequency_hz is not None else ", frequency not stated"
    return f"{name} {si(value, unit)}{at}"


def window(spec: Specification) -> str:
    """Return the allowed capacitance."""
    low, high = spec.capacitance_window_f
    return farads(low) if low == high else f"{farads(low)} to {farads(high)}"


def led_to(judgement: Judgement) -> list[Reason]:
    """Return the reasons that led to the decision, without those that were outweighed."""
    outcomes = {str(judgement.decision), str(judgement.meant)}
    return [reason for reason in judgement.reasons if reason.result in outcomes] or list(judgement.reasons)


def why(judgement: Judgement) -> str:
    """Return what led to the decision; age and surroundings only where nothing speaks of the part itself."""
    led = led_to(judgement)
    own = [reason for reason in led if reason.rule not in _GENERAL_RULES]
    names = {str(decision) for decision in Decision}
    texts = [
        reason.operation if reason.result in names else f"{reason.operation}: {reason.result}" for reason in own or led
    ]
    return "; ".join(dict.fromkeys(texts))


def once(texts: Iterable[str]) -> str:
    """Return texts as one, each sentence only the first time it comes.

    >>> once(["Net against mark. Meter it.", "Net against body. Meter it."])
    'Net against mark. Meter it. Net against body.'
    """
    sentences = (sentence for text in texts for sentence in re.split(r"(?<=[.:!?])\s+(?=[A-Z])", text))
    return " ".join(dict.fromkeys(sentences))


def capital(text: str) -> str:
    """Return a text with a capital in front."""
    return text[:1].upper() + text[1:]


def sentences(texts: Iterable[str]) -> str:
    """Return texts as sentences in a row.

    >>> sentences(["mains here.", "up to 400 V may remain"])
    'Mains here. Up to 400 V may remain.'
    """
    return " ".join(capital(text) if text.endswith((".", "!")) else f"{capital(text)}." for text in texts)


def line_of(plan: Plan, judgement: Judgement) -> OrderLine | None:
    """Return the order line that serves a position."""
    lines = (*plan.lines, *plan.lines_if_failed)
    return next((line for line in lines if judgement.key in line.positions), None)
