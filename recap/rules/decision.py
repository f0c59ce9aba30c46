"""What to do at a position: every rule here votes, the highest weight wins, the other reasons stay visible.

"Keep" and "leave alone" are respectable answers: most votes only speak where there is something to say.
"""

from __future__ import annotations

from collections.abc import Iterable

from recap.model import Basis, Condition, Decision, Downstream, Input, Kind, Role, Stance
from recap.rules import reference
from recap.rules.case import RAIL_ROLES, SUPPLY_ROLES, Case
from recap.rules.rule import Note, Outcome, Say, rule
from recap.units import plain, volts

_DAMAGE = (
    Condition.BULGED_TOP,
    Condition.PUSHED_BUNG,
    Condition.BURNT,
    Condition.CRACKED,
    Condition.CORRODED_JOINT,
)
_LEAKS = (Condition.LEAKED, Condition.CRUST)
_WET = (Kind.WET_ALUMINIUM, Kind.NON_POLAR_ALUMINIUM, Kind.HYBRID, Kind.UNKNOWN)


def _condition(found: Iterable[Condition]) -> Input:
    return Input("condition", ", ".join(sorted(found)), Basis.MEASURED)


@rule("user-decision", "What the inspector decided", "common-practice", "decision")
def user_decision(case: Case, say: Say) -> Iterable[Outcome]:
    """An override wins; its reason is shown."""
    position = case.position
    if position.override is None:
        return
    reason = position.override_reason or "no reason given"
    seen = Input("override", str(position.override), Basis.DOCUMENTED)
    yield say.vote(position.override, "override", [seen], f"the inspector decided: {reason}")


@rule("nothing-there", "Empty by design, or missing", "common-practice", "decision")
def nothing_there(case: Case, say: Say) -> Iterable[Outcome]:
    """A place empty by design stays empty; a missing part is put back when its value is known."""
    found = case.position.conditions
    if Condition.EMPTY_BY_DESIGN in found:
        yield say.vote(Decision.KEEP, "empty-by-design", [_condition(found)], "empty by design: fit nothing here")
    elif Condition.MISSING in found:
        known = case.capacitance is not None and case.rated_voltage is not None
        yield say.vote(
            Decision.REPLACE if known else Decision.REFER, "missing", [_condition(found)],
            "missing: put one back" if known else "missing, and neither marking nor documents tell its value",
        )  # fmt: skip


@rule("visible-damage", "Replace what leaks, bulges, burns or cracks", "common-practice", "decision")
def visible_damage(case: Case, say: Say) -> Iterable[Outcome]:
    """Signs on the body decide in every stance."""
    found = case.position.conditions
    leaks = [sign for sign in _LEAKS if sign in found]
    damage = [sign for sign in _DAMAGE if sign in found]
    if leaks:
        yield say.vote(Decision.REPLACE, "leaked", [_condition(leaks)], "electrolyte outside the can eats the board")
        yield Note(
            "Leaked: gloves and eye protection; clean with deionised water, dry with alcohol, check pads and vias, "
            "before the new part goes in.",
            hazard=True,
        )
    elif damage:
        yield say.vote(Decision.REPLACE, "damaged", [_condition(damage)], "the body shows that it failed")
    elif Condition.SLEEVE_SHRUNK in found:
        yield say.vote(Decision.MEASURE, "sleeve-shrunk", [_condition(found)], "a shrunk sleeve tells of heat")
    if Condition.REPLACED_BEFORE in found:
        yield Note("Replaced before: its value and polarity may already be wrong; compare with the documents.")
    if Condition.CORRODED_JOINT in found:
        yield Note("Corroded joint: flux and fresh solder first, two irons, no twisting; inspect the pad.")


@rule("mains-paper", "Metallised-paper mains parts go before power", "common-practice", "decision")
def mains_paper(case: Case, say: Say) -> Iterable[Outcome]:
    """They crack, smoke and burn, in every stance."""
    if case.position.body.kind is Kind.METALLISED_PAPER and case.across_mains:
        seen = Input("kind", str(case.position.body.kind), Basis.MARKED)
        yield say.vote(
            Decision.REPLACE, "metallised-paper", [seen],
            "metallised-paper mains parts crack, smoke and burn: replaced before power in every stance",
        )  # fmt: skip


@rule("out-of-scope", "Very high voltage is referred", "our-judgement", "decision")
def out_of_scope(case: Case, say: Say) -> Iterable[Outcome]:
    """Tube and flash circuits hold charge outside this scope."""
    rated = case.rated_voltage
    limit = case.policy.number("decision", "refer_above_v")
    if rated is not None and rated.value > limit:
        yield say.vote(
            Decision.REFER, "out-of-scope", [rated.input],
            f"above {volts(limit)}: picture-tube and flash circuits need a practised hand",
        )  # fmt: skip
        yield Note("Very high voltage: leave it to somebody licensed and practised in such circuits.", hazard=True)


@rule("kind-record", "Kinds with a record, good or bad", "common-practice", "decision")
def kind_record(case: Case, say: Say) -> Iterable[Outcome]:
    """Film and ceramic are left alone, paper goes, tantalum on rails follows the policy."""
    kind, role = case.position.body.kind, case.position.role
    seen = Input("kind", str(kind), Basis.MARKED)
    place = Input("role", str(role), Basis.ASSUMED if role is Role.UNKNOWN else Basis.DOCUMENTED)
    if kind in (Kind.FILM, Kind.CERAMIC):
        yield say.vote(Decision.KEEP, "leave-alone", [seen], "film and ceramic are left alone unless measured bad")
    elif kind is Kind.PAPER or (kind is Kind.METALLISED_PAPER and not case.across_mains):
        yield say.vote(Decision.REPLACE, "paper", [seen], "paper draws moisture and leaks")
    elif kind is Kind.SOLID_TANTALUM and role in RAIL_ROLES:
        choice = Decision(case.policy.choice("dipped_tantalum_on_rails"))
        yield say.vote(
            choice, _contested(choice, "tantalum-on-rail"), [seen, place],
            f"solid tantalum on rails fails short; contested, policy {case.policy.name} says {choice}",
        )  # fmt: skip
    elif kind in (Kind.SOLID_TANTALUM, Kind.WET_TANTALUM, Kind.SOLID_POLYMER):
        yield say.vote(Decision.KEEP, "solid-elsewhere", [seen, place], "few problems with this kind in such places")
    elif kind is Kind.NON_POLAR_ALUMINIUM and role is Role.DEFLECTION:
        yield say.vote(Decision.REPLACE, "deflection-bipolar", [seen, place], "a known failing kind in deflection")


@rule("known-eras", "Eras that are known to fail", "common-practice", "decision")
def known_eras(case: Case, say: Say) -> Iterable[Outcome]:
    """The years, mountings and places of eras.csv, each under its contested switch."""
    year, body = case.year, case.position.body
    if body.kind not in _WET:
        return
    if year is None:
        yield say.missing("year of make or date code")
        return
    for era in reference.eras():
        mounted = not era.mounting or body.mounting == era.mounting
        placed = not era.on_rails_only or case.position.role in RAIL_ROLES
        if mounted and placed and era.first_year <= year.value <= era.last_year:
            choice = Decision(case.policy.choice(era.switch))
            yield say.vote(
                choice, _contested(choice, era.id), [case.year_input], f"{era.what}; policy says {choice}",
                source=era.source,
            )  # fmt: skip


@rule("heat-nearby", "Parts in hot air", "our-judgement", "decision")
def heat_nearby(case: Case, say: Say) -> Iterable[Outcome]:
    """Wet parts in air above the policy's limit, where that air was measured or stated."""
    if case.position.body.kind not in _WET or not case.is_electrolytic:
        return
    body, board = case.position.measured.body_temperature_c, case.board
    if body is None and board.air_temperature_c is None and board.rise_over_room_k is None:
        yield say.missing("air temperature near the parts, or its rise over the room")
        return
    limit = case.policy.number("temperature", "near_heat_c")
    if case.ambient.value >= limit:
        choice = Decision(case.policy.choice("near_heat"))
        yield say.vote(
            choice, _contested(choice, "near-heat"), [case.ambient.input],
            f"air of {plain(limit)} °C or more dries wet parts out", source="our-judgement",
        )  # fmt: skip


def _contested(choice: Decision, vote_id: str) -> str:
    """Return the vote's id; one that a policy lowers to "measure" must not outweigh other reasons or good readings."""
    return "contested-measure" if choice is Decision.MEASURE else vote_id


@rule("age-and-stance", "Age, stance and what stands downstream", "common-practice", "decision")
def age_and_stance(case: Case, say: Say) -> Iterable[Outcome]:
    """Renew replaces; repair measures the old and replaces old supplies; conserve reforms or measures."""
    unit, kind = case.unit, case.position.body.kind
    if kind not in _WET:
        return
    stance = Input("stance", str(unit.stance), case.unit_basis("stance"))
    if unit.stance is Stance.RENEW:
        yield say.vote(Decision.REPLACE, "renew", [stance], "every wet part is renewed")
        return
    if case.large_can:
        choice = Decision(case.policy.choice("screw_and_snap_in_cans"))
        mounting = Input("mounting", str(case.position.body.mounting), Basis.MEASURED)
        yield say.vote(
            choice, _contested(choice, "large-can"), [mounting], f"large cans often come back; policy says {choice}"
        )
    age = case.age
    if age is None:
        yield say.missing("year of make or date code")
        yield say.vote(Decision.MEASURE, "age-unknown", [stance], "age unknown: let a reading decide")
        return
    years = Input("age", f"{plain(age)} years", Basis.CALCULATED)
    supply = case.position.role in SUPPLY_ROLES
    guarded = unit.downstream is Downstream.IRREPLACEABLE and unit.stance is Stance.REPAIR
    limit = case.policy.number("decision", "supply_replace_after_years")
    if supply and guarded and age >= limit:
        behind = Input("downstream", str(unit.downstream), case.unit_basis("downstream"))
        yield say.vote(
            Decision.REPLACE, "supply-age", [years, behind],
            f"a supply part of {plain(limit)} years or more in front of parts that cannot be bought again",
        )  # fmt: skip
    if age >= case.policy.number("decision", "measure_after_years"):
        conserve = unit.stance is Stance.CONSERVE
        yield say.vote(
            Decision.REFORM if conserve and supply else Decision.MEASURE, "age", [years, stance],
            "old: reform it before use" if conserve and supply else "old: let a reading decide",
        )  # fmt: skip


@rule("no-reason", "Nothing speaks against it", "our-judgement", "decision")
def no_reason(case: Case, say: Say) -> Iterable[Outcome]:
    """The fallback: keep."""
    yield say.vote(Decision.KEEP, "no-reason", [], "nothing speaks against it")


def rank(case: Case, likelihood: float) -> float:
    """Return likelihood of failure times its consequence, 0 to about 6, for the order of work."""
    consequence = reference.consequence(case.role)
    if case.unit.downstream is Downstream.IRREPLACEABLE and case.position.role in SUPPLY_ROLES:
        consequence += reference.downstream_consequence()
    return likelihood * consequence
