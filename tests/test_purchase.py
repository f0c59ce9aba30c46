"""Orders from catalogues: small jobs whose totals can be added up on paper, and everything the order says of itself.

Makers, sellers and prices are invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from inspection_files import write_csv

from recap.jobs import plan_files
from recap.model import Plan
from recap.problems import Problem

LIST = """Board;Ref;Value;Volts;Type;Dia;Height;LS;Condition;Pad A is;As found;Net;Net found by
PSU;C1;100u;25;elko radial;6.3;11;2.5;leaked;nearer the fuse;plus at A;plus at A;meter
PSU;C2;100u;25;elko radial;6.3;11;2.5;leaked;nearer the fuse;plus at A;plus at A;meter
PSU;C3;470u;16;elko radial;10;16;5;leaked;nearer the fuse;plus at A;plus at A;meter
CPU;C4;100u;16;elko radial;6.3;11;2.5;leaked;nearer the fuse;plus at A;plus at A;meter
"""
HEAD = "Order code,Brand,MPN,Description,Price 1,Price 10,Stock,Seller,Currency\n"
GOOD = "-40..105C 5000h radial alu 900mA@120Hz tan δ 0.05"
X100 = f"A-1,Tarnwick (invented),X100,100u 25V 6.3x11 P2.5 105C {GOOD} lead 0.5,0.30,0.20,500,Ashwick (invented),EUR\n"
X470 = f"A-2,Tarnwick (invented),X470,470u 25V 10x16 P5 105C {GOOD} lead 0.6,0.80,0.70,500,Ashwick (invented),EUR\n"
Y470 = f"B-7,Ostarra (invented),Y470,470u 25V 10x16 P5 105C {GOOD} lead 0.6,0.50,,500,Bellbrook (invented),EUR\n"
TERMS = """name = "small"
about = "Invented terms."
based_on = "usual"
[order]
{order}
[sellers]
"Ashwick (invented)" = {{ {ashwick} }}
"Bellbrook (invented)" = {{ {bellbrook} }}
{more}
"""


class Bench:
    """A folder with the list, and orders made there."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.list = write_csv(folder / "list.csv", LIST)

    def terms(
        self, rules: str = "", ashwick: str = "delivery = 5", bellbrook: str = "delivery = 5", more: str = ""
    ) -> str:
        text = TERMS.format(order=rules, ashwick=ashwick, bellbrook=bellbrook, more=more)
        return str(write_csv(self.folder / "terms.toml", text))

    def parts(self, *rows: str, head: str = HEAD, name: str = "parts.csv") -> Path:
        return write_csv(self.folder / name, head + "".join(rows))

    def plan(self, *rows: str, drawer: str = "", **terms: str) -> tuple[Plan, list[Problem]]:
        catalogues = [self.parts(*rows)]
        if drawer:
            catalogues.append(write_csv(self.folder / "drawer.csv", "Description,Qty\n" + drawer))
        return plan_files([self.list], self.terms(**terms), catalogues=catalogues, cache=False)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench(tmp_path)


def lines(plan: Plan) -> dict[str, tuple[int, int]]:
    """Return quantity and need of each line by the number of its part."""
    return {line.bought.part.mpn if line.bought else "": (line.quantity, line.needed) for line in plan.lines}


def paid(plan: Plan) -> float:
    assert plan.purchase is not None
    return plan.purchase.paid


class TestTotals:
    """Sums on paper stand beside each."""

    def test_one_seller(self, bench: Bench) -> None:
        # 3 + 1 spare at 0.30, 1 + 1 spare at 0.80, delivery 5; Y470 would save 0.60 and cost 5
        plan, problems = bench.plan(X100, X470, Y470)
        assert lines(plan) == {"X100": (4, 3), "X470": (2, 1)}
        assert paid(plan) == pytest.approx(1.20 + 1.60 + 5.00)
        assert problems == []
        purchase = plan.purchase
        assert purchase is not None
        # two lines at 0.50 are held against it, no part has a note
        assert (purchase.valued, purchase.cost, purchase.bound, purchase.gap) == (1.0, 8.8, 8.8, 0.0)
        (alternate,) = plan.lines[1].bought.alternates  # type: ignore[union-attr]
        assert (alternate.part.mpn, alternate.quantity, alternate.extra) == ("Y470", 2, pytest.approx(4.4))

    def test_two_sellers(self, bench: Bench) -> None:
        # 4 x 0.30, 2 x 0.50, deliveries 5 and 0.20
        plan, _ = bench.plan(X100, X470, Y470, bellbrook="delivery = 0.2")
        assert lines(plan) == {"X100": (4, 3), "Y470": (2, 1)}
        assert paid(plan) == pytest.approx(1.20 + 1.00 + 5.20)

    def test_a_piece_more_makes_delivery_free(self, bench: Bench) -> None:
        # 5 x 0.30 + 2 x 0.80 = 3.10, free from 3; as needed it would be 2.80 + 5
        plan, _ = bench.plan(X100, X470, ashwick="delivery = 5, free_from = 3")
        assert lines(plan) == {"X100": (5, 3), "X470": (2, 1)}
        assert paid(plan) == pytest.approx(3.10)
        assert "delivery is free" in plan.lines[0].bought.more_because  # type: ignore[union-attr]

    def test_more_pieces_at_a_break(self, bench: Bench) -> None:
        # 10 x 0.11 = 1.10 is less than 4 x 0.30 = 1.20
        plan, _ = bench.plan(X100.replace("0.20", "0.11"), X470)
        assert lines(plan)["X100"] == (10, 3)
        assert "price break" in plan.lines[0].bought.more_because  # type: ignore[union-attr]

    def test_the_drawer_comes_first_where_it_fits(self, bench: Bench) -> None:
        # three from the drawer: only 2 x 0.80 and delivery are left to pay
        drawer = f"100u 25V 6.3x11 P2.5 105C {GOOD} lead 0.5,3\n"
        plan, problems = bench.plan(X100, X470, drawer=drawer)
        assert lines(plan) == {"": (3, 3), "X470": (2, 1)}
        assert paid(plan) == pytest.approx(1.60 + 5.00)
        assert plan.purchase is not None
        assert plan.purchase.drawer_pieces == 3
        assert [problem.code for problem in problems] == ["own-drawer"]

    def test_a_stock_that_ends_takes_from_two(self, bench: Bench) -> None:
        other = X100.replace("A-1", "A-3").replace("X100", "Z100").replace("0.30,0.20", "0.40,")
        plan, _ = bench.plan(X100.replace(",500,", ",2,"), other, X470)
        # 2 of the cheaper ones without a spare, one more with its spare
        assert lines(plan) == {"X100": (2, 2), "Z100": (2, 1), "X470": (2, 1)} or lines(plan) == {
            "Z100": (4, 3),
            "X470": (2, 1),
        }
        # apart: 2 x 0.30 + 2 x 0.40 and a line at 0.50; together: 4 x 0.40
        assert paid(plan) == pytest.approx(1.60 + 1.60 + 5.00)

    def test_prices_in_another_currency_need_a_rate(self, bench: Bench) -> None:
        pounds = Y470.replace("EUR", "GBP")
        plan, problems = bench.plan(X100, X470, pounds, bellbrook="delivery = 0.2")
        assert "X470" in lines(plan)
        assert [(problem.code, problem.value) for problem in problems] == [("no-rate", "GBP")]
        plan, problems = bench.plan(X100, X470, pounds, bellbrook="delivery = 0.2", more="[rates]\nGBP = 1.2")
        # 4 x 0.30 + 2 x 0.50 x 1.2 + 5.20
        assert paid(plan) == pytest.approx(1.20 + 1.20 + 5.20)
        assert problems == []


class TestRules:
    """What the buyer may set."""

    def test_excluded_makers_and_sellers(self, bench: Bench) -> None:
        for rule in ('excluded_makers = ["tarnwick  (INVENTED)"]', 'excluded_sellers = ["Ashwick (invented)"]'):
            plan, _ = bench.plan(X100, X470, Y470, rules=rule)
            assert lines(plan) == {"": (4, 3), "Y470": (2, 1)}
            assert plan.purchase is not None
            found = plan.purchase.without
            assert sorted(key.designator for each in found for key in each.positions) == ["C1", "C2", "C4"]
            assert all("excluded" in each.because for each in found)

    def test_what_exclusion_costs(self, bench: Bench) -> None:
        # without X470: 4 x 0.30 + 2 x 0.50 + 10 instead of 7.80
        second = X470.replace("Tarnwick", "Vessmark")
        plan, _ = bench.plan(X100, second, Y470, rules='excluded_makers = ["Vessmark (invented)"]')
        assert paid(plan) == pytest.approx(12.20)
        assert plan.purchase is not None
        costs = {item.text: item.costs for item in plan.purchase.restrictions}
        assert costs["excluded makers and sellers"] == pytest.approx(4.40)

    def test_preferred_makers_count_by_the_place(self, bench: Bench) -> None:
        rule = 'preferred_makers = ["Ostarra (invented)"]\nnot_preferred_cost = {}'
        assert "X470" in lines(bench.plan(X100, X470, Y470, rules=rule.format(4.3))[0])
        assert "Y470" in lines(bench.plan(X100, X470, Y470, rules=rule.format(4.5))[0])

    def test_a_budget_that_nothing_keeps_is_said(self, bench: Bench) -> None:
        for budget, over in ((7.80, False), (7.79, True)):
            plan, _ = bench.plan(X100, X470, Y470, rules=f"budget = {budget}")
            assert plan.purchase is not None
            assert plan.purchase.over_budget is over
            assert paid(plan) == pytest.approx(7.80)

    def test_the_price_of_spares(self, bench: Bench) -> None:
        plan, _ = bench.plan(X100, X470, Y470)
        assert plan.purchase is not None
        costs = {item.text: item.costs for item in plan.purchase.restrictions}
        # one piece of each less: 0.30 + 0.80
        assert costs["spares"] == pytest.approx(1.10)

    def test_a_wish_and_what_it_costs(self, bench: Bench) -> None:
        # a part for 85 °C at 0.10 leaves the wish for 105 °C and its hours; a note counts 0.50 a place and point
        cheap = X470.replace("A-2", "A-9").replace("X470", "W470").replace("105C -40..105C", "-40..85C")
        cheap = cheap.replace("0.80,0.70", "0.10,")
        plan, _ = bench.plan(X100, X470, cheap, rules="note_cost = 0.2")
        assert "W470" in lines(plan)
        assert plan.purchase is not None
        found = {item.text: item for item in plan.purchase.restrictions}
        (text,) = [text for text in found if text.startswith("the upper temperature")]
        assert "≥ 105 °C" in text
        assert "leaves it at 1 place" in found[text].remark
        assert found[text].costs > 0
        kept, _ = bench.plan(X100, X470, cheap, rules="note_cost = 5")
        assert "X470" in lines(kept)

    def test_unproven_parts_only_where_they_are_accepted(self, bench: Bench) -> None:
        bare = "A-2,Tarnwick (invented),X470,470u 25V radial alu,0.80,,500,Ashwick (invented),EUR\n"
        plan, _ = bench.plan(X100, bare)
        assert "X470" not in lines(plan)
        assert plan.purchase is not None
        assert [key.designator for each in plan.purchase.without for key in each.positions] == ["C3"]
        plan, _ = bench.plan(X100, bare, rules="accept_unproven = true")
        (placed,) = next(line.bought.placed for line in plan.lines if line.bought and line.bought.part.mpn == "X470")
        assert placed.check.verdict == "ask"


class TestWithoutPart:
    def test_the_nearest_miss_and_where_it_fails(self, bench: Bench) -> None:
        plan, _ = bench.plan(X100, X470.replace("25V", "10V"))
        assert plan.purchase is not None
        (without,) = plan.purchase.without
        assert [key.designator for key in without.positions] == ["C3"]
        assert without.nearest[0].part.mpn == "X470"
        (line,) = [line for line in plan.lines if line.bought is None]
        assert [key.designator for key in line.positions] == ["C3"]
        assert "rated voltage" in without.nearest[0].fails

    def test_no_price_no_stock(self, bench: Bench) -> None:
        plan, problems = bench.plan(X100, X470.replace("0.80,0.70", ","))
        assert [problem.code for problem in problems] == ["no-price"]
        assert plan.purchase is not None
        assert "no price" in plan.purchase.without[0].because
        plan, _ = bench.plan(X100, X470.replace(",500,", ",0,"))
        assert plan.purchase is not None
        assert "no stock" in plan.purchase.without[0].because

    def test_no_part_at_all(self, bench: Bench) -> None:
        plan, _ = bench.plan(X100.replace("100u", "9u").replace("X100", "X9"))
        assert plan.purchase is not None
        assert {line.bought for line in plan.lines} == {None}
        assert paid(plan) == 0
        assert plan.purchase.proven


def test_a_heading_may_be_renamed_for_list_and_catalogue(bench: Bench) -> None:
    head = HEAD.replace("Description", "Artikeltext").replace("Stock", "Vorrat")
    catalogue = bench.parts(X100, X470, head=head)
    bench.list.write_text(LIST.replace("Volts;", "Spannung am Bauteil;"), encoding="utf-8")
    renames = {"Artikeltext": "Description", "Vorrat": "Stock", "Spannung am Bauteil": "Volts"}
    plan, _ = plan_files([bench.list], bench.terms(), renames, catalogues=[catalogue], cache=False)
    assert lines(plan) == {"X100": (4, 3), "X470": (2, 1)}


def test_one_order_code_twice_counts_once(bench: Bench) -> None:
    catalogues = [
        bench.parts(X100.replace(",500,", ",2,"), X470),
        bench.parts(X100.replace(",500,", ",2,"), name="more.csv"),
    ]
    plan, problems = plan_files([bench.list], bench.terms(), catalogues=catalogues, cache=False)
    assert "listed-twice" in [problem.code for problem in problems]
    assert lines(plan)["X100"] == (2, 2)
