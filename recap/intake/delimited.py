"""Text tables: csv and tsv of any common encoding and separator."""

from __future__ import annotations

import codecs
import csv
import io
from collections import Counter
from pathlib import Path

from recap.intake.cells import Sheet, Value
from recap.problems import Location, Problem, Severity, UnreadableFile

LARGEST_BYTES = 200_000_000
LONGEST_CELL = 1_000_000
SEPARATORS = (";", "\t", ",", "|")


def read(path: Path) -> tuple[list[Sheet], list[Problem]]:
    """Read a text table as one sheet without a name."""
    size = path.stat().st_size
    if size > LARGEST_BYTES:
        raise UnreadableFile(f"{path}: {size / 1e6:.0f} MB is more than an inspection list can be")
    text, problems = decode(path.read_bytes(), path)
    csv.field_size_limit(LONGEST_CELL)
    try:
        rows: list[list[Value]] = [
            [_as_typed(cell) for cell in row]
            for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator(text))
        ]
    except csv.Error as error:
        raise UnreadableFile(f"{path}: not a table of cells ({error})") from None
    return [Sheet(str(path), "", rows)], problems


def decode(data: bytes, path: Path) -> tuple[str, list[Problem]]:
    """Return the text of a file, by its byte order mark, else as UTF-8, else as Windows Latin."""
    for mark, encoding in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if data.startswith(mark):
            return _clean(data.decode(encoding, errors="replace"), path)
    half = _utf16_without_mark(data)
    if half:
        return _clean(data.decode(half, errors="replace"), path)
    try:
        return _clean(data.decode("utf-8"), path)
    except UnicodeDecodeError:
        pass
    text, problems = _clean(data.decode("cp1252", errors="replace"), path)
    note = Problem(
        "old-encoding",
        "not UTF-8: read as Windows Latin",
        Location(str(path)),
        hint="look at µ, Ω and ° below; save the file as UTF-8 if they are wrong",
        severity=Severity.NOTE,
    )
    return text, [note, *problems]


def separator(text: str) -> str:
    """Return the character between cells: the one that cuts the most rows into equally many cells.

    >>> separator("Ref;Value\\nC1;2,2\\nC2;4,7"), separator("Ref,Value\\nC1,2.2")
    (';', ',')
    """
    lines = [line for line in text[:100_000].splitlines() if line.strip()][:200]
    best, best_score = ",", 0.0
    for candidate in SEPARATORS:
        widths = Counter(len(row) for row in csv.reader(lines, delimiter=candidate))
        width, rows = max(widths.items(), key=lambda item: (item[0] > 1) * item[1])
        score = rows if width > 1 else 0.0
        if lines and candidate in lines[0]:
            score *= 2
        if score > best_score:
            best, best_score = candidate, score
    return best


def _as_typed(cell: str) -> str:
    """Undo the apostrophe that keeps a spreadsheet from taking a text for a formula."""
    if len(cell) > 1 and cell[0] == "'" and cell[1] in "=+-@\t\r":
        return cell[1:]
    return cell


def _utf16_without_mark(data: bytes) -> str:
    start = data[:2000]
    if len(start) < 4 or b"\0" not in start:
        return ""
    even, odd = start[0::2].count(0), start[1::2].count(0)
    if odd > len(start) // 6 and even == 0:
        return "utf-16-le"
    if even > len(start) // 6 and odd == 0:
        return "utf-16-be"
    return ""


def _clean(text: str, path: Path) -> tuple[str, list[Problem]]:
    """Refuse what is no text at all; set aside stray control characters and say so."""
    stray = sum(1 for char in text if char < " " and char not in "\t\n\r")
    if stray * 20 > len(text):
        raise UnreadableFile(f"{path}: not a text table, nor any spreadsheet that can be read")
    if not stray:
        return text, []
    kept = "".join(char for char in text if char >= " " or char in "\t\n\r")
    note = Problem(
        "control-characters",
        f"{stray} control characters were set aside",
        Location(str(path)),
        severity=Severity.NOTE,
    )
    return kept, [note]
