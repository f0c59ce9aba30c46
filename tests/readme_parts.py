"""The parts of README that are made from the project itself. Run this file to write them into README."""

from __future__ import annotations

import re
import subprocess
import sys
import tempfile
from pathlib import Path

from recap.problem_codes import problem_codes
from recap.ruledata import table
from recap.rules import RULES
from recap.sources import cite

ROOT = Path(__file__).parent.parent


def columns() -> str:
    """The columns of each sheet, the essential ones first as in the workbook."""
    lines = []
    for sheet in dict.fromkeys(row["sheet"] for row in table("columns")):
        rows = [row for row in table("columns") if row["sheet"] == sheet]
        lines += [f"**{sheet}**", "", "| column | group | what to write |", "|---|---|---|"]
        lines += [f"| {row['heading']} | {row['group']} | {row['note']} |" for row in rows]
        lines.append("")
    return "\n".join(lines).rstrip()


def rules() -> str:
    """Every rule in report order."""
    lines = ["| rule | says | binds | source |", "|---|---|---|---|"]
    return "\n".join(lines + [f"| {r.id} | {r.title} | {r.binds} | {cite(r.source)} |" for r in RULES])


def problems() -> str:
    """Every code of a problem."""
    lines = ["| code | usually | means |", "|---|---|---|"]
    return "\n".join(lines + [f"| {c.code} | {c.severity} | {c.meaning} |" for c in problem_codes().values()])


def example() -> str:
    """What the terminal shows for the example, documents in a folder called my-order."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "my-order"
        shown = _run("order", "examples/inspection.xlsx", "--out", str(out)).replace(str(out), "my-order")
    why = _run("explain", "examples/inspection.xlsx", "PSU/C13")
    return (
        "```\n$ recap order examples/inspection.xlsx --out my-order\n" + shown + "```\n\n"
        "Why one of them needs what it needs:\n\n"
        "```\n$ recap explain examples/inspection.xlsx PSU/C13\n" + why + "```"
    )


def purchase() -> str:
    """What the terminal shows of the example's order from the example's catalogues."""
    catalogues = ("parts-kestrel.csv", "parts-halden.csv", "parts-marrow.tsv", "drawer.csv")
    options = [word for name in catalogues for word in ("--parts", f"examples/{name}")]
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "my-order"
        terms = ("--policy", "examples/buying.toml")
        shown = _run("order", "examples/inspection.xlsx", "--out", str(out), *options, *terms)
    first = shown.index("To buy:")
    lines = ["$ recap order examples/inspection.xlsx --out my-order --policy examples/buying.toml \\"]
    pairs = [f"--parts examples/{name}" for name in catalogues]
    lines += [f"      {' '.join(pairs[:2])} \\", f"      {' '.join(pairs[2:])}", "..."]
    return "```\n" + "\n".join(lines) + "\n" + shown[first : shown.index("\n\n", first)] + "\n```"


def _run(*arguments: str) -> str:
    command = [sys.executable, "-m", "recap", *arguments]
    return subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT, encoding="utf-8").stdout


PARTS = {"columns": columns, "rules": rules, "problems": problems, "example": example, "purchase": purchase}


def between(text: str, name: str) -> str:
    """What README holds between a part's two marks."""
    found = re.search(f"<!-- {name}:begin -->\n(.*?)\n?<!-- {name}:end -->", text, re.DOTALL)
    assert found, f"README lacks the marks of {name}"
    return found[1]


def write() -> None:
    """Write every part into README."""
    path = ROOT / "README.md"
    text = path.read_text(encoding="utf-8")
    for name, make in PARTS.items():
        marks = f"<!-- {name}:begin -->\n", f"\n<!-- {name}:end -->"
        begin, end = text.index(marks[0]) + len(marks[0]), text.index(marks[1].strip())
        text = text[:begin] + make() + "\n" + text[end:]
    path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    write()
