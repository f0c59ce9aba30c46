"""`recap sign-off`: what the filled work orders and bring-ups say."""

from __future__ import annotations

from datetime import date, datetime

import click

from recap.cli.printing import json_option, print_json

INCOMPLETE, NOT_PASSED = 4, 5


@click.command("sign-off")
@click.argument("files", nargs=-1, required=True, type=click.Path(), metavar="FILE...")
@click.option(
    "--date",
    "on",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The date of the sign-off, such as 2026-03-14; without it the latest one on the documents.",
)
@click.option("--out", type=click.Path(), help="Folder for the record; without it, that of the first FILE.")
@click.option("--no-record", is_flag=True, help="Say what passes and write nothing.")
@json_option
def command(files: tuple[str, ...], on: datetime | None, out: str | None, no_record: bool, as_json: bool) -> None:
    """Read filled work orders and bring-ups and say what passes, position by position, rail by rail.

    FILE is a workbook that `recap order` wrote and somebody filled in, or the file that its page saves; a folder
    stands for all of them in it. Nothing passes by default: an empty box is incomplete. Writes a record (workbook
    and page) with the readings before and after, from which the next inspection can start: recap blank --from.

    Exits with 0 for passed, with or without remarks; 4 for incomplete; 5 for not passed.

    Example: recap sign-off my-order/work-orders/*.xlsx --date 2026-03-14
    """
    from recap.jobs import sign_off
    from recap.model.sign_off import Verdict
    from recap.outputs.sign_off_words import document, summary

    day: date | None = on.date() if on else None
    signed = sign_off(files, on=day, out=out, record=not no_record)
    if as_json:
        print_json(document(signed.found, signed.written, signed.problems))
    else:
        click.echo("\n".join(summary(signed.found, signed.written, signed.problems)))
    codes = {Verdict.INCOMPLETE: INCOMPLETE, Verdict.NOT_PASSED: NOT_PASSED}
    if signed.found.verdict in codes:
        raise SystemExit(codes[signed.found.verdict])
