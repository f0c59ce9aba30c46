"""The schemas of data/schemas are valid and tell what each field of a calculator is, with its unit."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from recap.cli import COMMANDS
from recap.cli.calc import CALCULATORS
from recap.problems import Problem
from tests.command_line import SCHEMAS, assert_described


@pytest.mark.parametrize("name", sorted(SCHEMAS))
def test_schemas_are_valid_and_say_what_they_describe(name: str) -> None:
    schema = SCHEMAS[name]
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["title"]
    if name.startswith("calc-"):
        assert list(_undescribed(schema["properties"]["result"])) == []


_UNITS = {"_f": "F", "_v": "V", "_a": "A", "_ohm": "Ω", "_w": "W", "_hz": "Hz", "_h": "h", "_mm": "mm", "_c": "°C",
          "_s": "s", "_j": "J", "_pct": "%", "_vpp": "V"}  # fmt: skip


def _undescribed(schema: Any, path: str = "") -> Iterator[str]:
    """Yield the fields that lack a description, or whose description lacks the unit of their name."""
    if isinstance(schema, list):
        for each in schema:
            yield from _undescribed(each, path)
    if not isinstance(schema, dict):
        return
    for name, field in schema.get("properties", {}).items():
        told = field.get("description", "")
        unit = next((unit for end, unit in _UNITS.items() if name.endswith(end)), "")
        range_of_three = "properties" in field
        if not told or (unit and not range_of_three and not re.search(rf"(?<!\w){unit}(?!\w)", told)):
            yield f"{path}.{name}"
        yield from _undescribed(field, f"{path}.{name}")
    for key in ("items", "oneOf"):
        yield from _undescribed(schema.get(key), path)


def test_every_calculator_and_command_has_its_schema() -> None:
    named = {"order": "plan", "parts": "catalogue"}
    printed = {named.get(name, name) for name in COMMANDS if name not in ("calc", "blank")}
    assert {f"{name}.schema.json" for name in printed} <= set(SCHEMAS)
    assert {f"calc-{name}.schema.json" for name in CALCULATORS} <= set(SCHEMAS)


def test_the_problems_schema_describes_a_problem_and_nothing_else() -> None:
    problem = Problem("odd-value", "it is odd").as_json()
    assert_described([problem], "problems")
    with pytest.raises(AssertionError, match="extra"):
        assert_described([{**problem, "extra": 1}], "problems")
    with pytest.raises(AssertionError, match="severity"):
        assert_described([{**problem, "severity": "odd"}], "problems")
