"""Everything a plan turns into, written into one folder."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from recap.bench.filled import read_filled
from recap.outputs import naming
from recap.outputs.bring_up_page import bring_up_page
from recap.outputs.bring_up_workbook import write_bring_up_workbook
from recap.outputs.csvs import shopping_csv
from recap.outputs.life_picture import life_svg
from recap.outputs.page import labels_page, work_order_page
from recap.outputs.plan_json import as_text, plan_document
from recap.outputs.seller_files import seller_csv
from recap.outputs.work_order_workbook import write_work_order_workbook
from recap.outputs.workbook import write_shopping_workbook
from recap.outputs.writing import write_set
from recap.problems import UnreadableFile

if TYPE_CHECKING:
    from recap.model import Plan
    from recap.problems import Problem

__all__ = ["plan_document", "write_documents"]


def write_documents(plan: Plan, problems: Sequence[Problem], out_folder: Path, replace: bool = False) -> list[Path]:
    """Write every document of a plan; return their paths, then the copies kept of what was replaced.

    Raises NotWritten when that cannot be done whole, or would lose entries without `replace`.
    """
    document = plan_document(plan, problems)
    digest = document["result"]["digest"]
    writers: dict[str, Callable[[Path], None]] = {
        naming.PLAN: _text(lambda: as_text(document)),
        naming.SHOPPING_WORKBOOK: partial(write_shopping_workbook, plan, problems),
        # The mark lets spreadsheet programs see that the file is UTF-8.
        naming.SHOPPING_CSV: _text(lambda: "\ufeff" + shopping_csv(plan)),
        naming.LABELS: _text(lambda: labels_page(plan)),
    }
    for work, workbook, page in naming.document_names(plan).work_orders:
        writers[workbook] = partial(write_work_order_workbook, plan, work, digest)
        writers[page] = _text(partial(work_order_page, plan, work, digest))
    for first_power, workbook, page in naming.document_names(plan).bring_ups:
        writers[workbook] = partial(write_bring_up_workbook, plan, first_power, digest)
        writers[page] = _text(partial(bring_up_page, plan, first_power, digest))
    for work, picture in naming.document_names(plan).pictures:
        writers[picture] = _text(partial(life_svg, plan, work))
    for seller, name in naming.document_names(plan).orders:
        writers[name] = _text(partial(seller_csv, plan, seller))
    return write_set(out_folder, writers, _holds_entries, replace)


def _text(make: Callable[[], str]) -> Callable[[Path], None]:
    def write(path: Path) -> None:
        path.write_text(make(), encoding="utf-8", errors="replace", newline="")

    return write


def _holds_entries(path: Path) -> bool:
    """Whether a work order holds entries; one that cannot be read is taken to hold some."""
    if path.parent.name != naming.WORK_ORDERS or path.suffix != ".xlsx":
        return False
    try:
        return read_filled(path).anything
    except UnreadableFile:
        return True
