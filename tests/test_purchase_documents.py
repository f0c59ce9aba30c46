"""What an order from catalogues writes: sellers' csv files, plan.json, work orders, labels, the workbook."""

from __future__ import annotations

import csv
import json
from typing import Any

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook
from test_catalogues import validator
from test_purchase import X100, X470, Y470, Bench, bench

from recap.cli import recap
from recap.jobs import order
from recap.outputs.seller_files import refused, sellers

__all__ = ["bench"]


class TestSellersFiles:
    def test_code_quantity_reference(self, bench: Bench) -> None:
        made = order(
            [bench.list], bench.folder / "out", policy=bench.terms(), catalogues=[bench.parts(X100, X470)], cache=False
        )
        (path,) = [path for path in made.written if path.parent.name == "orders"]
        assert path.name == "Ashwick (invented).csv"
        rows = list(csv.reader(path.read_text(encoding="utf-8").splitlines()))
        assert rows == [
            ["order code", "quantity", "reference"],
            ["A-1", "4", "L01 CPU: C4; PSU: C1, C2"],
            ["A-2", "2", "L02 PSU: C3"],
        ]

    @pytest.mark.parametrize("code", ["=1+1", "+49-1", "-7x", "@now", "＝A1", "A\x7f2"])
    def test_a_code_like_a_formula_is_refused_with_its_address(self, bench: Bench, code: str) -> None:
        plan, problems = bench.plan(X100, X470.replace("A-2", code))
        (problem,) = [problem for problem in problems if problem.code == "seller-code-refused"]
        assert problem.value == code
        assert str(problem.location) == f"{bench.folder / 'parts.csv'}:A3"
        assert sellers(plan) == []
        out = bench.folder / "out"
        made = order(
            [bench.list],
            out,
            policy=str(bench.folder / "terms.toml"),
            catalogues=[bench.folder / "parts.csv"],
            cache=False,
        )
        assert not (out / "orders").exists()
        assert made.plan.lines[1].bought is not None
        book = load_workbook(out / "shopping-list.xlsx")
        cells = [cell for row in book["Order, Ashwick (invented)"].iter_rows() for cell in row if cell.value == code]
        assert [cell.data_type for cell in cells] == ["s"]

    def test_a_part_without_any_code_cannot_be_uploaded(self, bench: Bench) -> None:
        plan, _ = bench.plan(X100, X470.replace("A-2", "").replace("X470", ""))
        assert [problem.code for problem in refused(plan)] == ["seller-code-refused"]


class TestDocuments:
    def document(self, bench: Bench, *arguments: str) -> dict[str, Any]:
        catalogue = bench.parts(X100, X470, Y470)
        command = ["order", str(bench.list), "--out", str(bench.folder / "out"), "--parts", str(catalogue)]
        result = CliRunner().invoke(recap, [*command, "--policy", bench.terms(), "--json", *arguments])
        assert result.exit_code == 0, result.output
        document: dict[str, Any] = json.loads(result.stdout)
        validator("plan.schema.json").validate(document)
        return document

    def test_plan_json(self, bench: Bench) -> None:
        result = self.document(bench)["result"]
        assert result["optimality"] == {"cost": 8.8, "bound": 8.8, "gap": 0.0}
        assert result["totals"]["cost"] == 7.8
        first = result["lines"][0]
        assert (first["part"]["mpn"], first["unit_price"], first["seller"]) == ("X100", 0.3, "Ashwick (invented)")
        assert [a["part"]["mpn"] for a in result["lines"][1]["alternates"]] == ["Y470"]
        parts = {position["key"]: position["part"]["mpn"] for position in result["positions"]}
        assert parts == {"list/PSU/C1": "X100", "list/PSU/C2": "X100", "list/PSU/C3": "X470", "list/CPU/C4": "X100"}
        assert "orders/Ashwick (invented).csv" in result["documents"]
        planned = result["positions"][0]["estimated_life_h"]["planned"]
        assert planned["inputs"][0] == {
            "name": "endurance of the part", "value": "5,000 h at 105 °C", "basis": "documented",
        }  # fmt: skip
        assert len(planned["models"]) > 1

    def test_the_same_input_gives_the_same_plan(self, bench: Bench) -> None:
        one = self.document(bench)
        again = self.document(bench, "--replace")
        assert json.dumps(one) == json.dumps(again)

    def test_work_orders_and_labels_name_the_part(self, bench: Bench) -> None:
        self.document(bench)
        page = (bench.folder / "out" / "work-orders" / "list - PSU.html").read_text(encoding="utf-8")
        assert "Tarnwick (invented) X470, 470 µF 25 V" in page
        assert "Tarnwick (invented) X100" in (bench.folder / "out" / "labels.html").read_text(encoding="utf-8")

    def test_the_workbook(self, bench: Bench) -> None:
        self.document(bench)
        book = load_workbook(bench.folder / "out" / "shopping-list.xlsx")
        assert {"Order, Ashwick (invented)", "Costs", "Alternates", "Merged needs", "No part"} <= set(book.sheetnames)
        costs = {row[0]: row[1] for row in book["Costs"].iter_rows(min_row=5, values_only=True)}
        assert costs["To pay"] == 7.8
        assert costs["Goods, Ashwick (invented)"] == 2.8
