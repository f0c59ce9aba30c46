"""Every rule in both directions, at its boundary and with its input missing, as tests/rules/*.toml say."""

from __future__ import annotations

import csv

import pytest
from rule_cases import KINDS, RuleCase, agrees, case, first_reason, rule_files, says

from recap.model import Requirement
from recap.rules import RULES
from recap.rules.rule import Vote
from recap.sources import KINDS as SOURCE_KINDS
from recap.sources import bibliography, data_folder

FILES = {file.rule: file for file in rule_files()}
CASES = [each for file in FILES.values() for each in file.cases]
RULES_BY_ID = {rule.id: rule for rule in RULES}


@pytest.mark.parametrize("given", CASES, ids=str)
def test_case(given: RuleCase) -> None:
    outcomes = list(RULES_BY_ID[given.rule].outcomes(case(given.sheets, given.policy)))
    said = [says(outcome) for outcome in outcomes]
    assert len(said) == len(given.expect), said
    for expected, found in zip(given.expect, said, strict=True):
        assert agrees(expected, found), f"expected {expected!r}, the rule said {found!r}"
    if given.reason:
        assert first_reason(outcomes) == given.reason


def test_every_rule_has_a_file_and_every_file_a_rule() -> None:
    assert set(FILES) == set(RULES_BY_ID)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_rule_has_the_four_kinds_of_case(rule: object) -> None:
    file = FILES[rule.id]  # type: ignore[attr-defined]
    had = {each.kind for each in file.cases}
    assert had <= set(KINDS)
    assert not had & set(file.impossible)
    assert had | set(file.impossible) == set(KINDS)
    assert all(len(why) > 15 for why in file.impossible.values())


def _speaks_in_reasons(rule_id: str) -> bool:
    outcomes = (each for given in FILES[rule_id].cases for each in RULES_BY_ID[rule_id].outcomes(case(given.sheets)))
    return any(isinstance(each, Requirement | Vote) for each in outcomes)


@pytest.mark.parametrize("rule_id", list(RULES_BY_ID))
def test_every_rule_has_an_exact_reason(rule_id: str) -> None:
    assert any(each.reason for each in FILES[rule_id].cases) or not _speaks_in_reasons(rule_id)


def test_every_source_named_in_tables_is_in_the_bibliography() -> None:
    known = bibliography()
    for path in sorted((data_folder() / "tables").glob("*.csv")):
        with path.open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream):
                for column, cell in row.items():
                    if column == "source" or (column or "").endswith("_source"):
                        assert not cell or cell in known, f"{path.name}: {cell}"


def test_every_rule_and_every_reason_names_a_known_source() -> None:
    known = bibliography()
    assert all(rule.source in known for rule in RULES)
    for given in CASES:
        for each in RULES_BY_ID[given.rule].outcomes(case(given.sheets, given.policy)):
            if isinstance(each, Requirement | Vote):
                assert each.reason.source in known


def test_second_hand_sources_say_so_and_kinds_are_known() -> None:
    assert all(source.kind in SOURCE_KINDS for source in bibliography().values())
