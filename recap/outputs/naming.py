"""Names of documents, safe on every file system whatever the boards are called."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass

from recap.model import BoardWork, Plan
from recap.model.bench import BringUp
from recap.outputs.seller_files import sellers

PLAN = "plan.json"
SHOPPING_WORKBOOK = "shopping-list.xlsx"
SHOPPING_CSV = "shopping-list.csv"
LABELS = "labels.html"
WORK_ORDERS = "work-orders"
LIFE = "life"
"""The folder for pictures of estimated life."""
ORDERS = "orders"
"""The folder for sellers' csv files."""
EARLIER = "earlier"
"""The folder for copies of what would have been overwritten."""
FOLDERS = (WORK_ORDERS, LIFE, ORDERS, EARLIER)
_ENDINGS = {WORK_ORDERS: (".xlsx", ".html"), LIFE: (".svg",), ORDERS: (".csv",)}

_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in "0123456789¹²³")}
_LONGEST_BYTES = 120


def safe_name(text: str) -> str:
    """Return text as the name of a file, without ending.

    >>> safe_name("../../etc/passwd"), safe_name("CON"), safe_name(" Netzteil μ ")
    ('etc_passwd', 'CON_', 'Netzteil μ')
    """
    text = unicodedata.normalize("NFC", text)
    text = re.sub(r"[^\w .()+−-]+|\.{2,}", "_", text).strip(" ._")
    text = text.encode("utf-8", "ignore")[:_LONGEST_BYTES].decode("utf-8", "ignore").rstrip(" .")
    stem, dot, rest = text.partition(".")
    if stem.strip().casefold() in _RESERVED:
        text = f"{stem}_{dot}{rest}"
    return text or "unnamed"


def distinct(names: Iterable[str]) -> list[str]:
    """Return the names with a number on each that a file system might take for an earlier one.

    >>> distinct(["a", "A", "b"])
    ['a', 'A (2)', 'b']
    """
    taken: set[str] = set()
    result = []
    for name in names:
        candidate, number = name, 1
        while (folded := unicodedata.normalize("NFKC", candidate).casefold()) in taken:
            number += 1
            candidate = f"{name} ({number})"
        taken.add(folded)
        result.append(candidate)
    return result


def is_document(name: str) -> bool:
    """Tell whether a plan's own list of documents may name this: what it names is replaced with the plan.

    >>> is_document("work-orders/amp - PSU.html"), is_document("notes.txt"), is_document("work-orders/../a.html")
    (True, False, False)
    """
    folder, slash, file = name.partition("/")
    if not slash:
        return name in (PLAN, SHOPPING_WORKBOOK, SHOPPING_CSV, LABELS)
    return "/" not in file and "\\" not in file and "\0" not in file and file.endswith(_ENDINGS.get(folder, ("\0",)))


@dataclass(frozen=True, slots=True)
class DocumentNames:
    """Where each document of a plan goes, from the output folder on."""

    work_orders: tuple[tuple[BoardWork, str, str], ...]
    """Board, workbook, page."""
    bring_ups: tuple[tuple[BringUp, str, str], ...] = ()
    """Unit's first power, workbook, page."""
    pictures: tuple[tuple[BoardWork, str], ...] = ()
    """Board, picture of estimated life."""
    orders: tuple[tuple[str, str], ...] = ()
    """Seller, csv for the seller's upload form."""

    @property
    def everything(self) -> list[str]:
        """Return every document's name."""
        made = (*self.work_orders, *self.bring_ups)
        pairs = [name for _, workbook, page in made for name in (workbook, page)]
        others = [name for _, name in (*self.pictures, *self.orders)]
        return [PLAN, SHOPPING_WORKBOOK, SHOPPING_CSV, LABELS, *pairs, *others]


def document_names(plan: Plan) -> DocumentNames:
    """Return the names of a plan's documents."""
    titles = [f"{work.unit} - {work.board}" for work in plan.work]
    titles += [f"{each.unit} - bring-up" for each in plan.bring_up]
    stems = distinct(map(safe_name, titles))
    names = [(f"{WORK_ORDERS}/{stem}.xlsx", f"{WORK_ORDERS}/{stem}.html") for stem in stems]
    boards = len(plan.work)
    return DocumentNames(
        tuple((work, *pair) for work, pair in zip(plan.work, names[:boards], strict=True)),
        tuple((each, *pair) for each, pair in zip(plan.bring_up, names[boards:], strict=True)),
        tuple(
            (work, f"{LIFE}/{stem}.svg")
            for work, stem in zip(plan.work, stems[:boards], strict=True)
            if any(each.life_as_found or each.life_planned for each in (*work.stops, *work.steps, *work.left_alone))
        ),
        tuple((seller, f"{ORDERS}/{stem}.csv") for seller, stem in _named(sellers(plan))),
    )


def _named(titles: list[str]) -> list[tuple[str, str]]:
    return list(zip(titles, distinct(map(safe_name, titles)), strict=True))
