"""The commands keep their names, options, JSON fields and exit codes: others build on them."""

from __future__ import annotations

import inspect
import json
from pathlib import Path
from typing import Any

import click
import pytest

import recap as library
from recap.cli import COMMANDS
from recap.cli import recap as command_line
from recap.cli.calc import CALCULATORS
from tests.command_line import assert_described, recap

LIFE = ("--endurance", "2000h", "--rated-temperature", "105C")
BRIDGE = ("--supply", "bridge", "--mains", "50Hz", "--secondary", "9V", "--capacitance", "4700uF")
CONVERTER = ("--switching", "100kHz", "--output", "5V", "--load", "3A", "--capacitance", "1000uF", "--esr", "30mohm")

# One calculator's sets of arguments, each of which must give an answer; edges among them.
ANSWERED = [
    ("marking", "4u7 63V"),
    ("marking", "2200/16", "47µF +75/-10", "C1-C4", "250VAC X2", "", "1k5", "C12 not fitted", "8+8+8 450V"),
    ("marking", "--", "-40 to +85°C"),
    ("marking", "9" * 400, "\x00", "٣٣", "100uF " * 300, "a\ud800b", "{}", "=1+1"),
    ("life", *LIFE, "--ambient", "55C"),
    ("life", *LIFE, "--ambient", "-60C", "--family", "polymer"),
    ("life", *LIFE, "--ambient", "250C", "--rated-ripple", "1A@120Hz", "--ripple", "9A@120Hz"),
    ("life", *LIFE, "--duty", "8h@45C,16h@30C", "--rated-ripple", "1.2A@100kHz", "--ripple", "0.5A@100Hz",
     "--ripple", "0A", "--rated-voltage", "25V", "--voltage", "24V", "--style", "snap-in", "--hours-per-year", "200h"),
    ("life", *LIFE, "--case-temperature", "58C", "--diameter", "16mm", "--rated-ripple", "1A", "--ripple", "0.6A"),
    ("life", *LIFE, "--ambient", "55C", "--family", "manganese-dioxide", "--endurance-basis", "dc-only"),
    ("ripple", *BRIDGE, "--load", "1A"),
    ("ripple", *BRIDGE, "--load-power", "5W", "--source-resistance", "0ohm", "--esr", "0ohm", "--diode-drop", "0V"),
    ("ripple", "--supply", "buck", *CONVERTER, "--duty", "0.42", "--inductor-ripple", "1A"),
    ("ripple", "--supply", "half-bridge", *CONVERTER, "--duty", "42%", "--inductor-ripple", "9A"),
    ("ripple", "--supply", "flyback", *CONVERTER, "--peak-current", "6A"),
    ("discharge", "--capacitance", "470uF", "--voltage", "400V"),
    ("discharge", "--capacitance", "470uF", "--voltage", "-400V", "--resistor", "1ohm", "--to", "399.999V"),
    ("discharge", "--capacitance", "1uF", "--voltage", "5V", "--to", "50V"),
    ("discharge", "--capacitance", "1F", "--voltage", "900kV"),
    ("load", "--rail", "-12V", "--current", "1A", "--minimum", "1A"),
    ("load", "--rail", "5V", "--current", "1000A"),
    ("lamp", "--lamp", "60W 230V", "--mains", "230V", "--load", "30W"),
    ("lamp", "--lamp", "60W 230V", "--mains", "230V", "--load", "30W", "--load-kind", "constant-power"),
    ("lamp", "--lamp", "60W 230V", "--mains", "230V", "--load", "1kW", "--load-kind", "constant-power"),
    ("reform", "--capacitance", "100uF", "--voltage", "450V", "--stored", "5", "--history", "unused"),
    ("reform", "--capacitance", "1uF", "--voltage", "3V"),
    ("reform", "--capacitance", "1F", "--voltage", "900V", "--stored", "0"),
    ("esr", "--capacitance", "100uF", "--rated-voltage", "16V"),
    ("esr", "--capacitance", "100uF", "--rated-voltage", "16V", "--frequency", "100kHz", "--reading", "0.5ohm"),
    ("esr", "--capacitance", "1F", "--rated-voltage", "2V", "--frequency", "100Hz", "--reading", "1Mohm"),
    ("substitute-value", "--capacitance", "50uF"),
    ("substitute-value", "--capacitance", "16uF", "--voltage", "525V", "--role", "primary reservoir"),
    ("substitute-value", "--capacitance", "1pF", "--voltage", "99kV", "--role", "mains safety"),
]  # fmt: skip

# The fields that stand in the contract; more may stand beside them.
FIELDS = {
    "life": "estimated_life_h uncapped_h ceiling_h core_temperature_c models",
    "ripple": "dc_v ripple_vpp ripple_current_a peak_capacitor_current_a peak_diode_current_a ripple_frequency_hz "
    "conduction_angle_deg harmonics_a",
    "discharge": "energy_j initial_power_w time_s thresholds",
    "load": "resistance_ohm preferred_ohm power_w rating_w",
    "reform": "resistor_ohm resistor_rating_w current_limit_a steps accept_leakage_a",
    "esr": "ceiling_ohm frequency_hz verdict",
    "substitute-value": "options",
}
READING = (
    "capacitance_f sections_f rated_voltage_v ac tolerance_pct diameter_mm length_mm lead_spacing_mm temperature_c "
    "endurance_h quantity designators date certainty because"
)
POSITION = "key decision reasons rank requirements not_assessed orientation estimated_life_h part"
REQUIREMENT = "quantity relation value unit strength governing rule source basis reason"
LINE = "specification quantity spares positions part unit_price seller alternates"
CHECK_POINT = "quantity provided required relation margin margin_pct verdict rule reason"
POINT = {"load_voltage_v", "load_power_w", "current_a"}


def _names(text: str) -> set[str]:
    return set(text.split())


def _asked(arguments: tuple[str, ...]) -> tuple[str, ...]:
    """Return the arguments with --json, before a lone "--" where there is one."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    return (*arguments[:at], "--json", *arguments[at:])


@pytest.mark.parametrize("arguments", ANSWERED, ids=lambda arguments: " ".join(arguments)[:60])
def test_calculators_answer_as_described(arguments: tuple[str, ...]) -> None:
    ended = recap("calc", *_asked(arguments))
    assert ended.code == 0, ended.err
    assert list(ended.document) == ["result", "problems"]
    assert_described(ended.document, f"calc-{arguments[0]}")
    _assert_fields(arguments[0], ended.document["result"])
    assert recap("calc", *_asked(arguments)).out == ended.out, "the same question gives the same bytes"
    assert recap("calc", *arguments).code == 0, "the same is said to people"


def _assert_fields(calculator: str, result: Any) -> None:
    if calculator == "marking":
        assert all({"text", "readings", "refused"} <= set(entry) for entry in result)
        assert all(set(reading) == _names(READING) for entry in result for reading in entry["readings"])
        assert all((entry["refused"] is None) == bool(entry["readings"]) for entry in result)
    elif calculator == "lamp":
        points = result.get("solutions", [result])
        assert all(set(point) >= POINT for point in points)
    else:
        assert _names(FIELDS[calculator]) <= set(result)
    if calculator == "life":
        assert all(set(result[name]) == {"low", "nominal", "high"} for name in ("estimated_life_h", "uncapped_h"))
        assert all({"id", "life_h", "source"} <= set(model) for model in result["models"])
        assert "equivalent_ambient_c" not in result or result["equivalent_ambient_c"] is not None
    if calculator == "substitute-value":
        options = {"capacitance_f", "change_pct", "rated_voltage_v", "series"}
        assert all(options <= set(option) for option in result["options"])


def test_a_duty_gives_its_equivalent_ambient() -> None:
    result = recap("calc", "life", *LIFE, "--duty", "8h@45C,8h@55C", "--json").document["result"]
    assert 45 < result["equivalent_ambient_c"] < 55


LIST = """Board;Designator;Capacitance;Volts;Kind;Working volts
PSU;C1;1000;16;wet;5 V
PSU;C2;0,47x;;;
PSU;C3;10;25;;
"""


@pytest.fixture(scope="module")
def inspection(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("job") / "inspection.csv"
    path.write_text(LIST, encoding="utf-8")
    return str(path)


def _questions(file: str, out: str) -> dict[str, tuple[str, ...]]:
    return {
        "read": ("read", file),
        "plan": ("order", file, "--out", out),
        "explain": ("explain", file, "PSU/C1"),
        "advise": ("advise", file),
        "rules": ("rules",),
        "check": ("check", file, "PSU/C1", "--part", "1000uF 25V 105C 10x16 P5 5000h"),
    }


@pytest.mark.parametrize("schema", ["read", "plan", "explain", "advise", "rules", "check"])
def test_commands_print_what_their_schema_describes(schema: str, inspection: str, tmp_path: Path) -> None:
    question = _questions(inspection, str(tmp_path / "order"))[schema]
    ended = recap(*question, "--json")
    assert ended.code in ((0, 4, 5) if schema == "check" else (0,)), ended.err
    assert list(ended.document) == ["result", "problems"]
    assert_described(ended.document, schema)
    if schema == "plan":
        question = (*question[:-1], str(tmp_path / "again"))
    assert recap(*question, "--json").out == ended.out


def test_a_plan_holds_the_fields_of_the_contract(inspection: str, tmp_path: Path) -> None:
    ended = recap("order", inspection, "--out", str(tmp_path / "order"), "--json")
    result = ended.document["result"]
    assert set(result) >= {"units", "positions", "lines", "totals", "optimality"}
    assert json.loads((tmp_path / "order" / "plan.json").read_bytes())["result"]["positions"] == result["positions"]
    for position in result["positions"]:
        assert set(position) >= _names(POSITION)
        assert set(position["estimated_life_h"]) == {"as_found", "planned"}
        assert all(set(requirement) >= _names(REQUIREMENT) for requirement in position["requirements"])
    assert all(set(line) >= _names(LINE) for line in result["lines"])


def test_a_check_holds_the_fields_of_the_contract(inspection: str) -> None:
    result = recap("check", inspection, "PSU/C1", "--part", "1000uF 6.3V", "--json").document["result"]
    assert set(result) >= {"verdict", "points", "estimated_life_h", "would_fit_if"}
    assert result["verdict"] == "no"
    assert result["points"]
    assert all(set(point) >= _names(CHECK_POINT) for point in result["points"])


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        ((), 2, "Usage: recap"),
        (("nonsense",), 2, "No such command"),
        (("calc",), 2, "Usage: recap calc"),
        (("calc", "nonsense"), 2, "No such command"),
        (("calc", "marking"), 2, "TEXT"),
        (("calc", "life", *LIFE), 2, "give one of an ambient temperature, a duty or a case temperature"),
        (("calc", "life", *LIFE, "--ambient"), 2, "requires an argument"),
        (("calc", "ripple"), 2, "--supply"),
        (("calc", "ripple", *BRIDGE), 2, "--load 2A"),
        (("calc", "discharge", "--capacitance", "470uF"), 2, "--voltage"),
        (("calc", "discharge", "--capacitance", "470uF", "--voltage", "5A"), 2, "write it such as 5V"),
        (("calc", "discharge", "--capacitance", "400V", "--voltage", "470uF"), 2, "write it as 47uF"),
        (("calc", "lamp", "--lamp", "60W", "--mains", "230V", "--load", "30W"), 2, "60W 230V"),
        (("calc", "reform", "--capacitance", "1uF", "--voltage", "9V", "--history", "odd"), 2, "'used', 'unused'"),
        (("calc", "substitute-value", "--capacitance", "50uF", "--role", "odd"), 2, "reservoir"),
        (("rules", "nonsense"), 2, "the rules are"),
        (("read", "no-such-file.xlsx"), 3, "no-such-file.xlsx"),
        (("read", str(Path(__file__).parent)), 3, "tests"),
        (("read", "x.csv", "--heading", "nonsense"), 2, "OLD=NEW"),
        (("order", "no-such-file.csv", "--out", "x"), 3, "no-such-file.csv"),
        (("order", "no-such-file.csv"), 2, "--out"),
        (("explain", "no-such-file.csv", "C1"), 3, "no-such-file.csv"),
        (("advise", "no-such-file.csv"), 3, "no-such-file.csv"),
        (("parts", "no-such-file.csv"), 3, "no-such-file.csv"),
        (("check", "x.csv", "C1"), 2, "--part"),
        (("sign-off", "no-such-file.xlsx"), 3, "no-such-file.xlsx"),
    ],
    ids=lambda value: " ".join(value)[:50] if isinstance(value, tuple) else "",
)  # fmt: skip
def test_wrong_use_and_missing_files_are_told_in_one_line(arguments: tuple[str, ...], code: int, says: str) -> None:
    ended = recap(*arguments)
    assert ended.code == code, ended.err
    assert says in ended.err
    assert ended.out == b""
    assert "Usage:" in says or ended.err.count("\n") == 1


def test_the_inspection_itself_decides_between_done_and_strict(inspection: str, tmp_path: Path) -> None:
    assert recap("order", inspection, "--out", str(tmp_path / "a")).code == 0
    assert recap("order", inspection, "--out", str(tmp_path / "b"), "--strict").code == 1
    assert recap("explain", inspection, "PSU/C99").code == 2
    ended = recap("order", inspection, "--out", str(tmp_path / "c"), "--policy", "no-such-policy")
    assert ended.code == 3
    assert "shipped policies are careful, usual" in ended.err


def _commands() -> list[tuple[str, ...]]:
    commands = [(name,) for name in COMMANDS if name != "calc"]
    return [*commands, *(("calc", name) for name in CALCULATORS)]


@pytest.mark.parametrize("names", _commands(), ids=" ".join)
def test_every_command_teaches_by_an_example(names: tuple[str, ...]) -> None:
    text = recap(*names, "--help").out.decode()
    assert "Example" in text
    assert f"recap {' '.join(names)} " in text.split("Example")[1]
    if names != ("blank",):
        assert "--json" in text
    found = _found(names)
    assert all(option.help for option in found.params if isinstance(option, click.Option))


def _found(names: tuple[str, ...]) -> click.Command:
    found: click.Command = command_line
    for name in names:
        assert isinstance(found, click.Group)
        found = found.get_command(click.Context(found), name) or pytest.fail(name)
    return found


def test_the_commands_and_calculators_are_those_of_the_contract() -> None:
    assert set(COMMANDS) == _names("blank read order check explain advise parts sign-off rules calc")
    assert set(CALCULATORS) == {"marking", "lamp", *FIELDS}


def test_every_command_has_a_library_twin() -> None:
    for name in COMMANDS:
        twin = getattr(library, name.replace("-", "_"))
        assert callable(twin) or name == "calc"
    for name in CALCULATORS:
        assert callable(getattr(library.calc, name.replace("-", "_")))
    assert set(dir(library)) == {name.replace("-", "_") for name in COMMANDS}
    with pytest.raises(AttributeError, match="nonsense"):
        library.nonsense  # noqa: B018
    with pytest.raises(AttributeError, match="nonsense"):
        library.calc.nonsense  # noqa: B018


def test_twins_of_packages_names_stay_functions() -> None:
    import recap.parts.reading
    import recap.rules.voltage  # noqa: F401

    assert inspect.isfunction(library.rules)
    assert inspect.isfunction(library.parts)
    assert [rule.id for rule in library.rules("voltage-margin")] == ["voltage-margin"]
    assert library.calc.marking(["4u7"]).result[0]["readings"][0]["capacitance_f"] == 4.7e-6
