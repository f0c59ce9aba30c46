"""Text tables: csv and tsv of any common encoding and separator."""

from __future__ import annotations

import codecs
import csv
import io
import re
from collections import Counter
from pathlib import Path

from recap.intake.cells import Sheet, Value
from recap.intake.sheet_scan import MOST_ROWS
from recap.problem_codes import report
from recap.problems import Location, Problem, UnreadableFile

LARGEST_FILE = 100_000_000
LONGEST_CELL = 200_000
MOST_COLUMNS = 1_000
SEPARATORS = (";", "\t", ",", "|")

_STRAY = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f]")
_ESCAPED = re.compile(r"'+(?:[\t\r\n]|\s*[=+\-@＝＋－＠])")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


def read(path: Path) -> tuple[list[Sheet], list[Problem]]:
    """Read a text table as one sheet without a name; raises UnreadableFile."""
    if path.stat().st_size > LARGEST_FILE:
        raise UnreadableFile(f"{path}: larger than {LARGEST_FILE // 1_000_000} MB, which no inspection needs")
    text, problems = decode(path.read_bytes(), path)
    return [Sheet(str(path), "", _rows(text, path))], problems


def _rows(text: str, path: Path) -> list[list[Value]]:
    csv.field_size_limit(LONGEST_CELL)
    rows: list[list[Value]] = []
    try:
        for cells in csv.reader(io.StringIO(text, newline=""), delimiter=separator(text)):
            while cells and not cells[-1]:
                cells.pop()
            if len(cells) > MOST_COLUMNS:
                raise UnreadableFile(f"{path}: row {len(rows) + 1} has {len(cells):,} columns; this is no table")
            if len(rows) >= MOST_ROWS:
                raise UnreadableFile(f"{path}: more than {MOST_ROWS:,} rows; no inspection has so many")
            rows.append([_as_typed(cell) for cell in cells])
    except csv.Error:
        reason = f"row {len(rows) + 1} has a cell of more than {LONGEST_CELL:,} characters"
        raise UnreadableFile(f"{path}: {reason}; a quotation mark is probably not closed") from None
    return rows


def decode(data: bytes, path: Path) -> tuple[str, list[Problem]]:
    """Return the text of a file, by its byte order mark, else as UTF-8, else as Windows Latin."""
    place = Location(str(path))
    encoding = next((name for mark, name in _MARKS if data.startswith(mark)), "") or _utf16_without_mark(data)
    if encoding:
        return _clean(data.decode(encoding, errors="replace"), place)
    try:
        return _clean(data.decode("utf-8"), place)
    except UnicodeDecodeError:
        pass
    lines = data.split(b"\n")
    latin = [number for number, line in enumerate(lines, start=1) if not _is_utf8(line)]
    if any(not line.isascii() for number, line in enumerate(lines, start=1) if number not in set(latin)):
        text = "\n".join(line.decode("utf-8" if _is_utf8(line) else "cp1252", errors="replace") for line in lines)
        message = f"written in two encodings: most as UTF-8, line {latin[0]} and {len(latin) - 1} more as Windows Latin"
        note = report("mixed-encodings", message, place, hint="look at µ, Ω and ° there")
    else:
        text = data.decode("cp1252", errors="replace")
        hint = "look at µ, Ω and ° below; save the file as UTF-8 if they are wrong"
        note = report("old-encoding", "not UTF-8: read as Windows Latin", place, hint=hint)
    cleaned, problems = _clean(text, place)
    return cleaned, [note, *problems]


def separator(text: str) -> str:
    """Return the character between cells: the one that cuts the most rows into equally many cells.

    >>> separator("Ref;Value\\nC1;2,2\\nC2;4,7"), separator("Ref,Value\\nC1,2.2")
    (';', ',')
    """
    lines = [line for line in text[:100_000].splitlines() if line.strip()][:200]
    best, best_score = ",", 0.0
    for candidate in SEPARATORS:
        try:
            widths = Counter(len(row) for row in csv.reader(lines, delimiter=candidate))
        except csv.Error:
            continue
        width, rows = max(widths.items(), key=lambda item: (item[0] > 1) * item[1], default=(1, 0))
        score = float(rows) if width > 1 else 0.0
        if lines and candidate in lines[0]:
            score *= 2
        if score > best_score:
            best, best_score = candidate, score
    return best


def _as_typed(cell: str) -> str:
    """Undo the apostrophe that keeps a spreadsheet program from taking a text for a formula."""
    return cell[1:] if cell[:1] == "'" and _ESCAPED.match(cell) else cell


def _is_utf8(line: bytes) -> bool:
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _utf16_without_mark(data: bytes) -> str:
    start = data[:2000]
    if len(start) < 4 or b"\0" not in start or b"\0" not in start.partition(b"\n")[0]:
        return ""  # in UTF-16 every line has some, its first one too
    even, odd = start[0::2].count(0), start[1::2].count(0)
    if odd > len(start) // 6 and even == 0:
        return "utf-16-le"
    if even > len(start) // 6 and odd == 0:
        return "utf-16-be"
    return ""


def _clean(text: str, place: Location) -> tuple[str, list[Problem]]:
    """Refuse what is no text at all; set aside stray control characters and say so."""
    stray = len(_STRAY.findall(text))
    if stray > 10 and stray * 20 > len(text):
        if "\0" in text and "\0" not in text.partition("\n")[0]:
            raise UnreadableFile(f"{place}: some of its lines are UTF-16 and some are not; save it anew as UTF-8")
        raise UnreadableFile(f"{place}: not a text table, nor any spreadsheet that can be read")
    if not stray:
        return text, []
    return _STRAY.sub("", text), [report("control-characters", f"{stray} control characters were set aside", place)]
