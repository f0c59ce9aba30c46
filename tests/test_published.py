"""Every outside value of tests/published/*.toml, against the code."""

import pytest

from recap.sources import bibliography
from tests.published_checks import Check, counted, load, same, walk

CHECKS = load()


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check.id)
def test_agrees_with_the_published_value(check: Check) -> None:
    check.run()


def test_every_check_names_a_known_source_and_a_place() -> None:
    unknown = {check.source for check in CHECKS} - set(bibliography())
    assert not unknown
    assert all(check.place for check in CHECKS)


def test_nothing_of_our_own_passes_as_an_outside_value() -> None:
    ours = {"our-judgement", "from-memory"}
    assert not [check.id for check in CHECKS if bibliography()[check.source].kind in ours]


def test_at_most_ten_checks_count_from_one_table() -> None:
    one = Check("f", 1, "s", "m:f", {}, 1, "p. 1", table="t")
    assert counted([one] * 25) == {"s": 10}


def test_the_loader_walks_and_compares() -> None:
    assert walk({"a": [1, 2]}, "a.1") == 2
    assert same([1.0, 2.0], [1, 2.001], 1e-3, 0)
    assert not same([1.0], [1, 2], 1e-3, 0)
    assert not same({"a": 1.0}, {"a": 1.1}, 1e-3, 0)


def test_a_wrong_value_is_caught() -> None:
    check = Check("f", 1, "s", "math:sqrt", [4], 2.1, "p. 1", rel_tol=1e-3)
    with pytest.raises(AssertionError, match=r"published 2\.1, computed 2\.0"):
        check.run()
    Check("f", 1, "s", "math:sqrt", [4], 2.1, "p. 1", relation="differs").run()
