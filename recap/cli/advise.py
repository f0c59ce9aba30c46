"""`recap advise`: what to measure next."""

from __future__ import annotations

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
    from recap.outputs.advice_words import advice
    from recap.outputs.plan_json import suggestion_fields

    suggestions, problems = advise(file, policy=policy, headings=headings)
    if as_json:
        found = [suggestion_fields(item) for item in suggestions]
        print_json({"result": found, "problems": [problem.as_json() for problem in problems]})
        return
    click.echo("\n".join(advice(suggestions, everything)))
