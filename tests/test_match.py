"""Matching: the same verdict as the check of one part, nothing lost, nothing cheap pruned."""

import random
from functools import cache

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from test_check import place, wants

from recap.intake import read_inspection
from recap.model import Decision, Relation
from recap.model.check import Verdict
from recap.parts.catalogue import Catalogue
from recap.parts.checking import check_part
from recap.parts.match import candidates, nearest_misses, undominated
from recap.parts.reading import read_catalogues
from recap.parts.verdict import NO, VERDICTS, verdicts
from recap.policy import read_policy
from recap.rules.cases import cases
from recap.rules.judging import judge_all
from tests.make_catalogue import EXAMPLES, FILES


@cache
def judgements():
    inspection, _ = read_inspection([EXAMPLES / "inspection.xlsx"])
    return judge_all(cases(inspection, read_policy("usual"), 2026))


@cache
def catalogue():
    return read_catalogues([EXAMPLES / name for name in FILES], cache=False)[0]


@cache
def found():
    return candidates(judgements(), catalogue())


def test_check_and_match_come_to_the_same_verdict_on_random_pairs():
    chance = random.Random(7)
    by_key = {judgement.key: judgement for judgement in judgements()}
    matched: dict[object, dict[int, int]] = {}
    for entry in found():
        for key in entry.keys:
            codes = dict(zip(entry.rows.tolist(), entry.verdicts.tolist(), strict=True))
            for row, code in codes.items():
                matched.setdefault(key, {})[row] = min(code, matched.get(key, {}).get(row, int(NO)))
    pairs = [(key, row) for key in by_key for row in chance.sample(range(len(catalogue())), 1)]
    pairs += [(key, row) for key, rows in matched.items() for row in chance.sample(sorted(rows), 1)]
    valued = {key for entry in found() if "capacitance_f" not in entry.place.lacking for key in entry.keys}
    pairs = chance.sample([pair for pair in pairs if pair[0] in valued], 160)
    for key, row in pairs:
        expected = VERDICTS[matched.get(key, {}).get(row, int(NO))]
        assert check_part(by_key[key], catalogue().part(row)).verdict is expected, (str(key), row)


def test_cutting_down_step_by_step_loses_nothing():
    known = [entry for entry in found() if "capacitance_f" not in entry.place.lacking]
    everything = catalogue().rows(np.nonzero(~np.isnan(catalogue().number("capacitance_f")))[0])
    for entry in known[::9]:
        codes = verdicts(entry.place, everything)
        expected = {int(row): int(code) for row, code in zip(everything.chosen, codes, strict=True) if code != NO}
        assert dict(zip(entry.rows.tolist(), entry.verdicts.tolist(), strict=True)) == expected


def test_positions_that_ask_for_the_same_stand_together_and_none_is_lost():
    singles = [entry for entry in found() if entry.place.arrangement == "single"]
    keys = [key for entry in singles for key in entry.keys]
    assert sorted(map(str, keys)) == sorted(str(judgement.key) for judgement in judgements())
    assert len(singles) < len(keys)
    shared = next(entry for entry in singles if len(entry.keys) > 1)
    assert shared.needed == sum(shared.counts) * shared.pieces
    assert list(shared.verdicts) == sorted(shared.verdicts)


def test_the_invented_catalogues_serve_most_of_what_is_to_be_replaced():
    served = {key for entry in found() if len(entry.rows) and entry.verdicts[0] <= 1 for key in entry.keys}
    asked = {
        judgement.key for judgement in judgements() if judgement.meant is Decision.REPLACE and judgement.requirements
    }
    assert len(served & asked) > 0.7 * len(asked)
    assert asked - served


def test_where_nothing_fits_the_nearest_miss_names_the_point_that_fails():
    entry = next(entry for entry in found() if not len(entry.rows) and entry.place.requirements)
    row, failed = nearest_misses(entry.place, catalogue())[0]
    assert failed
    judgement = next(judgement for judgement in judgements() if judgement.key == entry.keys[0])
    check = check_part(judgement, catalogue().part(row))
    assert check.verdict is Verdict.NO
    assert {item.quantity for item in failed} <= {point.quantity for point in check.points if point.verdict == "fails"}


def test_a_part_without_a_value_is_never_proposed():
    part = catalogue().part(0)
    blank = Catalogue.of([type(part)(rated_voltage_v=16.0), part])
    for entry in candidates(judgements()[:40], blank):
        assert 0 not in entry.rows


def test_a_pair_is_matched_apart_from_the_single_part():
    window = (
        wants("capacitance_f", Relation.AT_LEAST, 1.9e-3, "F"),
        wants("capacitance_f", Relation.AT_MOST, 2.1e-3, "F"),
    )
    single, pair = candidates([place(*window, arrangement="two in parallel")], catalogue())
    assert (single.pieces, pair.pieces, pair.needed) == (1, 2, 2)
    assert not len(single.rows)
    assert set(catalogue().number("capacitance_f")[pair.rows].tolist()) == {1e-3}


figures = st.one_of(st.integers(1, 4).map(float), st.just(float("nan")))


@given(st.lists(st.tuples(figures, figures, figures), min_size=1, max_size=12))
@settings(max_examples=150, deadline=None)
def test_pruning_never_drops_the_cheapest_nor_all_of_equals(table):
    costs, stock = np.array(table)[:, :2], np.array(table)[:, 2]
    rows = np.arange(len(table)) + 100
    kept = undominated(rows, [costs[:, 0], costs[:, 1]], [stock])
    assert len(kept)
    assert list(kept) == sorted(kept)
    for column in range(2):
        for least in np.unique(stock[~np.isnan(stock)]):
            able = ~np.isnan(costs[:, column]) & (stock >= least)
            if able.any():
                cheapest = costs[able, column].min()
                ours = np.isin(rows, kept) & able
                assert costs[ours, column].min() == cheapest
    for row in range(len(table)):
        if rows[row] in kept:
            continue
        mine = np.array(table[row])
        better = [
            other
            for other in range(len(table))
            if rows[other] in kept and (costs[other] <= mine[:2]).all() and stock[other] >= mine[2]
        ]
        assert better, "left out without one that is as good"
