"""How a rule is written: a function that yields what it demands, stamped with its id and source.

A rule never edits a specification and never picks a part. What it yields is a requirement, a vote on what to
do, a check that could not be made, a sentence for the bench, or something that must be settled first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from recap.model import Basis, Decision, Input, NotAssessed, Reason, Relation, Requirement, Strength
from recap.model.requirement import Value
from recap.rules import reference
from recap.rules.case import Case


@dataclass(frozen=True, slots=True)
class Vote:
    """A wish for a decision; the highest weight wins. `likelihood` is that of a failure, 0 to 1."""

    decision: Decision
    weight: int
    likelihood: float
    reason: Reason


@dataclass(frozen=True, slots=True)
class Stop:
    """Something that must be settled before a part is fitted; where it is a danger as it stands, at any decision."""

    text: str
    rule: str
    danger: bool = False


@dataclass(frozen=True, slots=True)
class Note:
    """A sentence for the bench: how to fit, or what may hurt."""

    text: str
    hazard: bool = False


Outcome = Requirement | NotAssessed | Vote | Stop | Note
Inputs = Iterable[Input | None]


@dataclass(frozen=True, slots=True)
class Say:
    """Makes a rule's outcomes with the rule's id and source stamped on."""

    rule: str
    source: str

    def reason(self, inputs: Inputs, operation: str, result: str, source: str = "") -> Reason:
        """Return a reason in this rule's name; inputs that are None are left away."""
        known = tuple(item for item in inputs if item is not None)
        return Reason(known, operation, result, self.rule, source or self.source)

    def demand(
        self,
        quantity: str,
        relation: Relation,
        value: Value,
        unit: str,
        inputs: Inputs,
        operation: str,
        result: str,
        *,
        prefer: bool = False,
        source: str = "",
        frequency_hz: float | None = None,
    ) -> Requirement:
        """Return a requirement; its basis is the weakest basis among its inputs."""
        reason = self.reason(inputs, operation, result, source)
        strength = Strength.PREFER if prefer else Strength.MUST
        basis = weakest(item.basis for item in reason.inputs)
        return Requirement(quantity, relation, value, unit, strength, reason, basis, frequency_hz)

    def vote(
        self,
        decision: Decision,
        vote_id: str,
        inputs: Inputs,
        operation: str,
        source: str = "",
    ) -> Vote:
        """Return a vote with the weight and likelihood of votes.csv, whose reason ends in the decision."""
        weight, likelihood, usual_source = reference.vote(vote_id)
        reason = self.reason(inputs, operation, str(decision), source or usual_source)
        return Vote(decision, weight, likelihood, reason)

    def missing(self, *inputs: str) -> NotAssessed:
        """Return that the rule could not be applied, and what it would need."""
        return NotAssessed(self.rule, inputs)

    def stop(self, text: str, *, danger: bool = False) -> Stop:
        """Return a stop item."""
        return Stop(text, self.rule, danger)


_TRUST = (Basis.MEASURED, Basis.MARKED, Basis.DOCUMENTED, Basis.CALCULATED, Basis.ASSUMED)


def weakest(bases: Iterable[Basis]) -> Basis:
    """Return the least trusted of the bases; documented when there is none.

    >>> str(weakest([Basis.MEASURED, Basis.ASSUMED]))
    'assumed'
    """
    return max(bases, key=_TRUST.index, default=Basis.DOCUMENTED)


RuleFunction = Callable[[Case, Say], Iterable[Outcome]]


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: its id, what it says in a line, its source, and what it binds."""

    id: str
    title: str
    source: str
    binds: str
    function: RuleFunction

    def outcomes(self, case: Case) -> Iterable[Outcome]:
        """Apply the rule to one case."""
        return self.function(case, Say(self.id, self.source))


def rule(rule_id: str, title: str, source: str, binds: str) -> Callable[[RuleFunction], Rule]:
    """Turn a function into a rule; `binds` names the quantities or the decision that it speaks of."""

    def stamp(function: RuleFunction) -> Rule:
        return Rule(rule_id, title, source, binds, function)

    return stamp
