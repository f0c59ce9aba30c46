"""README says what the project does today; its generated parts are the project's own."""

import re
from datetime import date

import pytest
from readme_parts import PARTS, ROOT, between

README = (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [name for name in PARTS if name != "example"])
def test_readme_tables_are_up_to_date(name):
    assert between(README, name) == PARTS[name]()


def test_readme_example_is_real_output():
    shown = between(README, "example")
    years = re.compile(r"\b\d+ years\b")
    expected = PARTS["example"]()
    if date.today().year != 2026:  # ages are counted from this year
        shown, expected = years.sub("N years", shown), years.sub("N years", expected)
    assert shown == expected


def test_every_command_is_named_in_readme():
    from recap.cli import COMMANDS
    from recap.cli.calc import CALCULATORS

    for name in [*COMMANDS, *CALCULATORS]:
        assert f"`{name}`" in README or f"`recap {name}" in README, name


def test_readme_names_the_exit_codes_that_exist():
    for code in range(6):
        assert re.search(rf"\b{code} ", between_headings("Exit codes")), code


def between_headings(title: str) -> str:
    return README.split(f"## {title}\n", 1)[1].split("\n## ", 1)[0]
