"""`recap parts`: what was understood of parts catalogues."""

from __future__ import annotations

import click

from recap.cli.options import heading_option
from recap.cli.printing import json_option, print_json


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(), metavar="FILE...")
@heading_option
@click.option("--summary", is_flag=True, help="With --json: leave the parts themselves out.")
@click.option("--no-cache", is_flag=True, help="Read the files anew, and keep nothing of them in the cache folder.")
@json_option
def command(files: tuple[str, ...], headings: dict[str, str], summary: bool, no_cache: bool, as_json: bool) -> None:
    """Read parts catalogues and show what was understood, what is doubtful, and every problem with its address.

    FILE is a table of a seller or maker, as csv, tsv, xlsx or ods; columns in any order, under the trade's names, units
    in the heading or the cell, ripple and ESR with their frequency in either. Prices stand in one column, in a column a
    quantity (Price 10, 100+), in one cell (1:0.31;10:0.24), or in one row a quantity. What is missing stays unknown.
    A table with a stock but without prices and seller is your own drawer: limited, and free.

    Example: recap parts examples/parts-kestrel.csv --heading "Farads=Capacitance"
    """
    from recap.jobs import parts
    from recap.outputs.catalogue_text import catalogue_lines
    from recap.outputs.check_json import part_fields
    from recap.parts.summary import catalogue_summary

    catalogue, problems = parts(files, headings=headings, cache=not no_cache)
    found = catalogue_summary(catalogue)
    if as_json:
        listed = {} if summary else {"parts": [part_fields(part) for part in catalogue.parts()]}
        print_json({"result": {**found, **listed}, "problems": [problem.as_json() for problem in problems]})
        return
    click.echo("\n".join(catalogue_lines(found, problems)))
