"""`recap advise`: what to measure next."""

from __future__ import annotations

from dataclasses import asdict

import click

from recap.cli.options import heading_option, policy_option
from recap.cli.printing import json_option, print_json


@click.command()
@click.argument("file", type=click.Path())
@policy_option
@heading_option
@click.option("--all", "everything", is_flag=True, help="Show every suggestion, not only the first fifteen.")
@json_option
def command(file: str, policy: str, headings: dict[str, str], everything: bool, as_json: bool) -> None:
    """Say which missing readings of FILE would change the plan most, and what changes for which outcome.

    Each missing reading is tried with plausible outcomes and the plan is made again; what is shown is what differs.

    Example: recap advise examples/inspection.xlsx
    """
    from recap.jobs import advise

    suggestions, problems = advise(file, policy=policy, headings=headings)
    if as_json:
        found = [{**asdict(item), "positions": [str(key) for key in item.positions]} for item in suggestions]
        for entry in found:
            entry["outcomes"] = [{"outcome": label, "change": change} for label, change in entry["outcomes"]]
        print_json({"result": found, "problems": [problem.as_json() for problem in problems]})
        return
    shown = suggestions if everything else suggestions[:15]
    if not shown:
        click.echo("No missing reading would change the plan.")
    for number, item in enumerate(shown, 1):
        names = ", ".join(str(key) for key in item.positions[:3])
        more = f" and {len(item.positions) - 3} more" if len(item.positions) > 3 else ""
        click.echo(f"{number:>2}. {item.reading}: {names}{more}")
        for label, change in item.outcomes:
            click.echo(f"      if {label}: {change}")
    for reading in dict.fromkeys(item.reading for item in shown):
        first = next(item for item in shown if item.reading == reading)
        click.echo(f"\nHow to take {reading}: {first.how}")
        if first.caution:
            click.echo(f"  Caution: {first.caution}.")
    if len(shown) < len(suggestions):
        click.echo(f"\n{len(suggestions) - len(shown)} more with --all.")
