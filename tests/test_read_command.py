"""`recap read`: what it shows, its JSON, its exit codes, and the table of problem codes."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result
from inspection_files import write_csv, write_form
from jsonschema import Draft202012Validator

import recap
from recap.cli import recap as command
from recap.problem_codes import problem_codes
from recap.ruledata import table
from recap.sources import bibliography, data_folder

ROOT = Path(__file__).parent.parent
EXAMPLES = (ROOT / "examples" / "inspection.xlsx", ROOT / "examples" / "plain-list.csv")
ODD_LIST = "Ref;Value;Volts;Type;Shelf\nC1;4u7;25;elko;A1\nC2-C3;0,47x;16;radial;\n;100;;;\nC5;104;16;;\n"


def _run(*arguments: str) -> Result:
    return CliRunner().invoke(command, ["read", *arguments])


def _document(*arguments: str) -> Any:
    result = _run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.output)


def test_what_was_understood_is_shown(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "amp.csv", ODD_LIST)
    output = _run(str(path)).output
    assert "amp: 4 positions on 1 board" in output
    assert "4 rows below the headings: 3 with positions, 1 left out, 0 blank or example" in output
    assert "kept in the notes: Shelf" in output
    assert "Capacitance: 4u7 → 4.7 µF" in output
    assert "Capacitance: 0,47x → not used" in output
    assert re.search(r"Capacitance: 104 → 0\.1 µF +\[likely\]", output)
    assert f"{path}:A4: error [no-designator]" in output
    assert re.search(r"Lead spacing mm: whether the leads meet the holes", output)
    assert "Volts" not in output.partition("What more would make possible:")[2].splitlines()[2]


def test_certain_trivial_readings_are_not_listed(tmp_path: Path) -> None:
    output = _run(str(write_csv(tmp_path / "amp.csv", "Ref;Value;Volts\nC1;100 µF;16V\n"))).output
    assert "read with some thought" not in output
    assert "No problems." not in output  # the board is named after the file


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.name)
def test_json_obeys_its_schema(path: Path) -> None:
    schema = json.loads((data_folder() / "schemas" / "read.schema.json").read_text(encoding="utf-8"))
    document = _document(str(path))
    assert [error.message for error in Draft202012Validator(schema).iter_errors(document)] == []
    rows = document["result"]["rows"]
    assert rows["in"] == rows["with_positions"] + rows["left_out"] + rows["blank"]


def test_the_same_input_gives_the_same_bytes() -> None:
    first, second = (_run(str(EXAMPLES[1]), "--json").output for _ in range(2))
    assert first == second


def test_a_heading_is_mapped(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "amp.csv", "Ref;Zeta\nC1;100\n")
    document = _document(str(path), "--heading", "zeta=Capacitance")
    assert document["result"]["positions"][0]["marked"]["capacitance_f"] == pytest.approx(1e-4)


@pytest.mark.parametrize(("arguments", "code"), [(["none.csv"], 3), (["list.csv", "--heading", "Value=Nonsense"], 2)])
def test_exit_codes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    arguments: list[str], code: int,
) -> None:  # fmt: skip
    from recap.cli import main

    write_csv(tmp_path / "list.csv", "Ref;Value\nC1;100\n")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.argv", ["recap", "read", *arguments])
    with pytest.raises(SystemExit) as raised:
        main()
    assert raised.value.code == code
    assert capsys.readouterr().err.startswith("recap: ")


def test_filled_columns_are_not_asked_for(tmp_path: Path) -> None:
    entry = {"Board": "PSU", "Designator": "C1", "Capacitance": "100", "Role": "coupling", "Net": "plus at A"}
    path = write_form(tmp_path / "inspection.xlsx", {"Capacitors": [entry]})
    asked = {item["heading"] for item in _document(str(path))["result"]["unlocks"] if item["sheet"] == "Capacitors"}
    assert not asked & {"Capacitance", "Role", "Net", "Board", "Note"}
    assert {"Volts", "Rail", "Silkscreen"} <= asked


def test_public_twins() -> None:
    inspection, _ = recap.read([EXAMPLES[1]])
    assert inspection.positions
    modules = {name for name in recap.__all__ if not callable(getattr(recap, name))}
    assert modules == {"calc"}, "the sums stand in a module"
    with pytest.raises(AttributeError):
        recap.nonsense  # noqa: B018


def _codes_in(folder: str) -> set[str]:
    """Return the codes that the package's text mentions where problems are made."""
    found: set[str] = set()
    for path in (ROOT / "recap" / folder).rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        found |= set(re.findall(r'(?:report|Finding|Problem)\(\s*"([a-z]+(?:-[a-z]+)+|ambiguous|macros)"', text))
        found |= set(re.findall(r'leave_out\(sheet, row, "([a-z-]+)"', text))
        found |= set(re.findall(r'code = "([a-z-]+)"', text))
        found |= set(re.findall(r'"((?:not-an?|no|date|likely|error)-[a-z]+(?:-[a-z]+)*)"', text))
    return found


def test_every_code_that_reading_gives_is_in_the_table() -> None:
    assert _codes_in("intake") - set(problem_codes()) == set()


def test_every_code_in_the_table_is_given_somewhere() -> None:
    source = "".join(path.read_text(encoding="utf-8") for path in (ROOT / "recap").rglob("*.py"))
    assert [code for code in problem_codes() if f'"{code}"' not in source] == []


@pytest.mark.parametrize("name", ["columns", "choice_synonyms", "problem_codes"])
def test_tables_name_their_sources(name: str) -> None:
    assert {row["source"] for row in table(name)} <= set(bibliography())
