"""`recap check`: may this part go there?"""

from __future__ import annotations

import click

from recap.cli.options import heading_option, policy_option
from recap.cli.printing import json_option, print_json


@click.command()
@click.argument("file", type=click.Path())
@click.argument("position", required=False)
@click.option(
    "--part",
    "texts",
    multiple=True,
    metavar='"TEXT"',
    help='A part as its data sheet describes it, such as "1000u 16V 105C 10x20 P5 5000h 1.2A@100kHz 22mohm@100kHz". '
    "May be given again: several are held side by side.",
)
@click.option(
    "--mpn", "numbers", multiple=True, metavar="ID", help="A maker's number or order code in the --parts files."
)
@click.option("--parts", "catalogues", multiple=True, type=click.Path(), metavar="FILE", help="A parts catalogue.")
@click.option("--all", "everywhere", is_flag=True, help="Hold the parts against every position: where may they go?")
@click.option("--full", is_flag=True, help="Show every demand with its reason, also those that others go beyond.")
@policy_option
@heading_option
@click.option("--no-cache", is_flag=True, help="Read the catalogues anew.")
@json_option
def command(
    file: str,
    position: str | None,
    texts: tuple[str, ...],
    numbers: tuple[str, ...],
    catalogues: tuple[str, ...],
    everywhere: bool,
    full: bool,
    policy: str,
    headings: dict[str, str],
    no_cache: bool,
    as_json: bool,
) -> None:
    """Hold a proposed substitute against a POSITION of FILE, point by point: fits, fits with a note, ask, or no.

    The more the text says, the more can be told: value, volts, temperature, ⌀ × height, pitch (P5), hours, ripple and
    ESR with their frequency, tan δ, kind (polymer, hybrid, film, bipolar), mounting (axial, snap-in, SMD).

    Exits with 0 when it fits, with or without a note, 4 when something must be asked, 5 when it does not fit; with
    several parts the best one counts, with --all the best position.

    Example: recap check examples/inspection.xlsx PSU/C12 --part "2200u 16V 105C 16x25 P7.5 5000h"
    """
    from recap.jobs import check
    from recap.outputs.check_json import check_document, where_document
    from recap.outputs.check_text import check_lines, side_by_side, where_lines

    if everywhere == (position is not None):
        raise click.UsageError("name a POSITION such as PSU/C12, or give --all for every position")
    if not texts and not numbers:
        raise click.UsageError('describe a part with --part "…", or name one with --mpn and --parts')
    if numbers and not catalogues:
        raise click.UsageError("--mpn looks in catalogues; name one with --parts FILE")
    made = check(
        file, position, parts=texts, mpns=numbers, catalogues=catalogues,
        policy=policy, headings=headings, cache=not no_cache,
    )  # fmt: skip
    if as_json:
        document = where_document(made.everywhere, made.problems) if everywhere else None
        print_json(document or check_document(made.checks, made.behind, made.problems))
    elif everywhere:
        for checks in made.everywhere:
            click.echo("\n".join(where_lines(checks, full=full)) + "\n")
    else:
        several = len(made.checks) > 1
        click.echo(
            "\n".join(side_by_side(made.checks, made.behind) if several else check_lines(made.checks[0], full=full))
        )
    assumed = dict.fromkeys(f"{problem.message}; {problem.hint}".strip("; ") for problem in made.part_problems)
    for text in () if as_json else assumed:
        click.echo(f"Assumed: {text}.")
    if made.exit_code:
        raise SystemExit(made.exit_code)
