"""What changed since an earlier plan: every kind of change, told with its reason."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from openpyxl import load_workbook
from test_catalogues import validator
from test_purchase import LIST, X100, X470, Y470, Bench, bench

from recap.cli import recap
from recap.outputs.comparison import changes, read_plan
from recap.outputs.shopping import together
from recap.problems import UnreadableFile

__all__ = ["bench"]


def planned(bench: Bench, *rows: str, out: str, compare: Path | None = None, **terms: str) -> dict[str, Any]:
    options = ["--policy", bench.terms(**terms)]
    if rows:
        options += ["--parts", str(bench.parts(*rows))]
    if compare is not None:
        options += ["--compare", str(compare)]
    command = ["order", str(bench.list), "--out", str(bench.folder / out), "--json", *options]
    result = CliRunner().invoke(recap, command)
    assert result.exit_code == 0, result.output
    document: dict[str, Any] = json.loads(result.stdout)
    validator("plan.schema.json").validate(document)
    return document["result"]  # type: ignore[no-any-return]


def told(result: dict[str, Any], subject: str, what: str) -> dict[str, Any]:
    (found,) = [each for each in result["changes"] if (each["subject"], each["what"]) == (subject, what)]
    return dict(found)


def test_nothing_changed(bench: Bench) -> None:
    planned(bench, X100, X470, out="one")
    assert planned(bench, X100, X470, out="two", compare=bench.folder / "one")["changes"] == []


def test_without_an_earlier_plan_there_is_nothing_to_tell(bench: Bench) -> None:
    assert "changes" not in planned(bench, X100, X470, out="one")


def test_another_part_and_what_it_saves(bench: Bench) -> None:
    planned(bench, X100, X470, out="one")
    result = planned(bench, X100, X470, Y470, out="two", compare=bench.folder / "one", bellbrook="delivery = 0.2")
    part = told(result, "list/PSU/C3", "part")
    assert part["before"] == "Tarnwick (invented) X470, Ashwick (invented)"
    assert part["after"] == "Ostarra (invented) Y470, Bellbrook (invented)"
    # 1.20 + 1.60 + 5.00, then 1.20 + 1.00 + 5.20
    paid = told(result, "order", "to pay")
    assert (paid["before"], paid["after"], paid["why"]) == ("7.80 EUR", "7.40 EUR", "0.40 EUR less")


def test_a_decision_that_changed_names_its_new_reason(bench: Bench) -> None:
    planned(bench, X100, X470, out="one")
    bench.list.write_text(
        LIST.replace("PSU;C3;470u;16;elko radial;10;16;5;leaked", "PSU;C3;470u;16;elko radial;10;16;5;bulged")
    )
    changed = planned(bench, X100, X470, out="two", compare=bench.folder / "one" / "plan.json")
    assert {each["what"] for each in changed["changes"]} <= {"decision", "part", "to pay"}
    bench.list.write_text(LIST.replace(";5;leaked;nearer the fuse", ";5;leaked;").replace("PSU;C2", "PSU;C9"))
    result = planned(bench, X100, X470, out="three", compare=bench.folder / "one")
    assert told(result, "list/PSU/C9", "position")["why"] == "new on the list"
    assert told(result, "list/PSU/C2", "position")["why"] == "no longer on the list"
    stopped = told(result, "list/PSU/C3", "decision")
    assert (stopped["before"], stopped["after"]) == ("replace", "stop")
    assert "pad A" in stopped["why"]
    assert told(result, "list/PSU/C3", "which way round")["after"] is None


def test_a_demand_that_changed_names_its_reason(bench: Bench) -> None:
    planned(bench, out="one")
    bench.list.write_text(LIST.replace("CPU;C4;100u;16", "CPU;C4;100u;35"))
    result = planned(bench, out="two", compare=bench.folder / "one")
    rating = told(result, "list/CPU/C4", "rated voltage")
    assert "35 V" in rating["after"]
    assert "/ 0.8" in rating["why"]
    added = [each for each in result["changes"] if each["subject"] == "order" and each["before"] is None]
    assert all("list/CPU/C4" in each["why"] for each in added)
    assert len(added) == 1


def test_a_policy_that_changed(bench: Bench) -> None:
    planned(bench, X100, X470, out="one")
    more = '[contested]\ndipped_tantalum_on_rails = "measure"'
    result = planned(bench, X100, X470, out="two", compare=bench.folder / "one", more=more)
    change = told(result, "dipped tantalum on rails", "policy")
    assert (change["before"], change["after"]) == ("replace", "measure")


def test_the_same_change_is_told_once_with_all_its_places(bench: Bench) -> None:
    planned(bench, X100, X470, out="one")
    planned(bench, X100, X470, out="two")
    old, new = (read_plan(bench.folder / name) for name in ("one", "two"))
    for position in new["positions"]:
        position["decision"] = "keep"
        position["reasons"] = ["somebody said so"]
    found = changes(old, new)
    ((subjects, change),) = together([each for each in found if each.what == "decision"])
    assert len(subjects) == 4
    assert change.why == "somebody said so"


def test_summary_and_workbook_tell_them(bench: Bench) -> None:
    planned(bench, X100, X470, out="one")
    command = ["order", str(bench.list), "--out", str(bench.folder / "two"), "--compare", str(bench.folder / "one")]
    result = CliRunner().invoke(recap, [*command, "--policy", bench.terms()])
    assert "Changed since the earlier plan" in result.output
    assert "7.80 EUR → –" in result.output
    sheet = load_workbook(bench.folder / "two" / "shopping-list.xlsx")["Changes"]
    assert [cell.value for cell in sheet[4]] == ["Where", "What", "Before", "Now", "Why"]


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"result": 5}', '{"result": {"positions": [1]}}', "[" * 9999])
def test_what_is_no_plan(tmp_path: Path, text: str) -> None:
    path = tmp_path / "plan.json"
    path.write_text(text)
    with pytest.raises(UnreadableFile, match="not a plan of recap"):
        read_plan(path)
    with pytest.raises(UnreadableFile, match="No such file"):
        read_plan(tmp_path / "nowhere.json")


def test_a_plan_with_other_insides_is_refused(bench: Bench) -> None:
    planned(bench, out="one")
    path = bench.folder / "one" / "plan.json"
    document = json.loads(path.read_text(encoding="utf-8"))
    del document["result"]["positions"][0]["requirements"]
    path.write_text(json.dumps(document))
    command = ["order", str(bench.list), "--out", str(bench.folder / "two"), "--compare", str(path)]
    error = CliRunner().invoke(recap, command).exception
    assert isinstance(error, UnreadableFile)
    assert error.exit_code == 3
    assert "another version" in str(error)
    assert not (bench.folder / "two").exists()
