"""Polarity: an orientation in words only when the net is known and no witness contradicts it.

Four facts are kept apart: what the silkscreen shows, how the body was found, what the net says, and the decision.
"""

from __future__ import annotations

from collections.abc import Iterable

from recap.model import (
    PLUS_STRIPE_KINDS,
    Basis,
    Decision,
    Input,
    Kind,
    MarkMeaning,
    NetBy,
    Orientation,
    PlusAt,
)
from recap.rules.case import Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.rules.stress import BESIDE_THE_RAIL

_OTHER = {PlusAt.A: PlusAt.OTHER, PlusAt.OTHER: PlusAt.A}
_HOW = {NetBy.METER: "metered", NetBy.SCHEMATIC: "from the schematic", None: "how found not stated"}


def silkscreen_plus(case: Case) -> PlusAt | None:
    """Return where the silkscreen puts plus; a bare mark only through the board's verified convention."""
    shown = case.position.polarity.silkscreen
    if shown in _OTHER:
        return shown
    if shown not in (PlusAt.MARK_A, PlusAt.MARK_OTHER):
        return None
    marked = PlusAt.A if shown is PlusAt.MARK_A else PlusAt.OTHER
    if case.board.mark_meaning is MarkMeaning.PLUS:
        return marked
    return _OTHER[marked] if case.board.mark_meaning is MarkMeaning.MINUS else None


def silkscreen_unverified(case: Case) -> bool:
    """Return whether the silkscreen shows a mark that cannot be a witness until its meaning is verified."""
    shown = case.position.polarity.silkscreen
    return shown in (PlusAt.MARK_A, PlusAt.MARK_OTHER) and case.board.mark_meaning is MarkMeaning.NOT_VERIFIED


def net_plus(case: Case) -> PlusAt | None:
    """Return where the net puts plus: metered, or the schematic's pad on the rail with the rail's sign."""
    said = case.position.polarity.net
    if said in _OTHER:
        return said
    if said not in (PlusAt.RAIL_A, PlusAt.RAIL_OTHER) or case.rail is None or case.rail.nominal_v is None:
        return None
    on_rail = PlusAt.A if said is PlusAt.RAIL_A else PlusAt.OTHER
    return _OTHER[on_rail] if case.rail.negative else on_rail


def body_plus(case: Case) -> PlusAt | None:
    """Return where the body as found had its plus."""
    found = case.position.polarity.as_found
    return found if found in _OTHER else None


def orient(case: Case) -> Orientation:
    """Return the orientation in words, or what is missing, or what contradicts what."""
    polarity = case.position.polarity
    net, silk = net_plus(case), silkscreen_plus(case)
    witnesses = [("net", net), ("silkscreen", silk), ("body as found", body_plus(case))]
    seen = [(name, plus) for name, plus in witnesses if plus is not None]
    conflicts = tuple(
        f"{first} says {one}, {second} says {two}"
        for index, (first, one) in enumerate(seen)
        for second, two in seen[index + 1 :]
        if one is not two
    )
    missing = []
    if net is None:
        missing.append(_missing_net(case))
    if not polarity.pad_a:
        missing.append("landmark of pad A")
    if net is None or conflicts or not polarity.pad_a:
        return Orientation(None, conflicts, tuple(missing))
    return Orientation(_words(case, net), plus_at=net)


def _missing_net(case: Case) -> str:
    if case.position.polarity.net in (PlusAt.RAIL_A, PlusAt.RAIL_OTHER):
        return "sign of the rail (the net is given as a pad on it)"
    return "polarity of the net (meter, or schematic with the rail's sign)"


def _words(case: Case, net: PlusAt) -> str:
    polarity, rail = case.position.polarity, case.rail
    pad_a = polarity.pad_a.strip()
    side = f"the pad {pad_a}" if net is PlusAt.A else f"the pad away from the one {pad_a}"
    text = f"Plus to {side}"
    if rail is not None and rail.negative and case.position.role not in BESIDE_THE_RAIL:
        other = rail.other_side or "ground"
        text += f": rail {rail.name} is negative, so plus goes to {other}"
    how = {NetBy.METER: "net metered", NetBy.SCHEMATIC: "net from the schematic"}.get(polarity.net_by or NetBy.METER)
    text += f" ({how})." if polarity.net_by else "."
    return text


def stripe_note(kinds: Iterable[str]) -> str:
    """Return what the stripe on a body means, for the kinds that may be fitted."""
    families = {Kind(name) in PLUS_STRIPE_KINDS for name in kinds if Kind(name) is not Kind.FILM}
    if families == {True}:
        return "On this kind the stripe marks PLUS."
    if families == {False}:
        return "On this kind the stripe marks MINUS."
    return "Stripes differ: minus on wet aluminium and hybrid, PLUS on tantalum and polymer. Read the body."


@rule("orientation", "Net, silkscreen and body agree on plus", "common-practice", "orientation")
def orientation(case: Case, say: Say) -> Iterable[Outcome]:
    """No orientation is given while a witness contradicts the net or the net is not known."""
    if not case.position.polar:
        return
    found = orient(case)
    if found.conflicts:
        yield say.stop(f"Polarity in dispute: {_dispute(case)}", danger=True)
    if silkscreen_unverified(case):
        yield say.missing(f"what the silkscreen's mark means on board {case.board.name} (verify it with the meter)")
    if found.missing:
        yield say.missing(*found.missing)
        if not found.conflicts:
            yield say.stop("Orientation not known: " + "; ".join(found.missing) + ".")
    if case.position.body.kind in PLUS_STRIPE_KINDS:
        yield Note(
            "The original's stripe marks PLUS; on a wet aluminium part it marks MINUS. Go by plus, not by the stripe.",
            hazard=True,
        )


def _dispute(case: Case) -> str:
    """Return who says what, which witness is the odd one out, and what settles it."""
    net, silk, body = net_plus(case), silkscreen_plus(case), body_plus(case)
    if net is None:
        return (
            f"silkscreen says {silk}, body as found says {body}, and the net is not known. "
            "Meter the net to ground before anything is fitted."
        )
    how = f"net ({_HOW[case.position.polarity.net_by]})"
    convention = f"Verify what the print means on board {case.board.name}"
    if body in (None, net):
        others = f"{how} and body as found say" if body is net else f"{how} says"
        return (
            f"the silkscreen is the odd one out, it says {silk}; {others} {net}. {convention}"
            f"{'' if case.position.polarity.net_by is NetBy.METER else ' and meter the net'} before anything is fitted."
        )
    if silk in (None, net):
        others = f"{how} and silkscreen say" if silk is net else f"{how} says"
        return (
            f"the body as found is the odd one out, it says {body}; {others} {net}. It was fitted the wrong way round "
            "unless the net is wrong: confirm the net once more before anything is fitted."
        )
    return (
        f"{how} says {net}, silkscreen and body as found say {silk}. Either the board was built to a wrong print or "
        f"the net was read from the wrong pad: meter it again from pad A. {convention} before anything is fitted."
    )


@rule("ran-reversed", "A part that ran reversed is replaced", "common-practice", "decision")
def ran_reversed(case: Case, say: Say) -> Iterable[Outcome]:
    """A polar part that was found fitted against the metered net has its oxide spoilt; tantalum may short and burn."""
    net, body, polarity = net_plus(case), body_plus(case), case.position.polarity
    if not case.position.polar or net is None or body in (None, net):
        return
    if polarity.net_by is not NetBy.METER:
        yield say.missing("net by the meter (the body as found sits against the net given)")
        return
    seen = [
        Input("body as found", str(body), Basis.MEASURED),
        Input("net, metered", str(net), Basis.MEASURED),
    ]
    yield say.vote(Decision.REPLACE, "reversed", seen, "found fitted against the metered net: it ran reversed")
    if case.position.body.kind in (Kind.SOLID_TANTALUM, Kind.WET_TANTALUM, Kind.UNKNOWN):
        yield Note("Ran reversed: tantalum so treated may short and burn; no power while it is fitted.", hazard=True)
    else:
        yield Note("Ran reversed: it may have gassed and may burst; no power while it is fitted.", hazard=True)
