"""Designators, their lists and ranges, positions left empty, and counts."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recap.intake.grammar.capacitance import UNIT as _FARAD
from recap.intake.grammar.items import Item, LatePattern, Option
from recap.intake.grammar.numerals import NUMBER

MOST = 2000

_REF = (
    r"(?:A\d{1,3}[-/: ]?|(?:[BMW]|PCB|PWB|PS|BD)\d{1,3}[-/:]?)?"
    rf"(?:C[ ._-]?|CAP ?|(?:C[TEPXY]|EC|TC))\d{{1,5}}[A-Za-z]?(?![A-Za-z0-9])(?!\.\d)"
    rf"(?! ?(?:{_FARAD}|V|%)(?![A-Za-z]))"
)
_RANGE_MARK = r" ?(?:-|\.\.+|~|:) ?| (?:to|thru|through|bis|till|until|a|à|through) "
_NEXT = r" ?[,;&+/] ?| (?:and|und|et|y|e|u\.|&) | "
_BARE = (
    rf"\d{{1,4}}+[a-z]?(?![A-Za-z0-9%°]|\.\d|,\d+ ?(?:{_FARAD}|V|mm)(?![A-Za-z0-9]))"
    r"(?=\s*(?:$|[,;&)+/:]|-|and\b|und\b|to\b|\.\.))"
)
_SECTIONS = r"(?:(?<=\d[A-Za-z])(?: ?[/,&+-] ?[A-Za-z](?![A-Za-z0-9]))+)?"
_UNIT = rf"{_REF}{_SECTIONS}(?:(?:{_RANGE_MARK})(?:{_REF}|{_BARE}))?"
_FIRST = re.compile(_REF, re.I)  # opens every list, and is quickly tried
_LIST = LatePattern(
    rf"{_UNIT}(?:(?:{_NEXT})(?:{_UNIT})| ?[,;&+/] ?{_BARE}(?:(?:{_RANGE_MARK}){_BARE})?| (?:and|und|et|&) {_BARE})*",
    re.I,
)
_ONE = LatePattern(rf"(?P<first>{_REF}|\d{{1,4}}[a-z]?)(?:(?P<mark>{_RANGE_MARK})(?P<last>{_REF}|{_BARE}))?", re.I)
_SPLIT = re.compile(
    r"(?P<board>[A-Z]{1,3}\d{1,3}[-/: ]?(?=[A-Z]))?(?P<letters>[A-Za-z]*?)[ ._-]?"
    r"(?P<number>\d{1,5})(?P<section>[A-Za-z]?)$",
    re.I,
)

OTHER_PART = re.compile(
    r"(?:IC|TR|VR|RV|ZD|LED|CR|FB|CN|RN|SW|TP|BR|VT|RL|RY|JP|CON|XTAL|[UQRLDTJKFXSV])\d{1,4}[A-Za-z]?(?![A-Za-z0-9])(?![.,]\d)"
)
NOT_FITTED = re.compile(
    r"(?:n\. ?[mbfiu]\.|n/[fimu]|(?:NM|DNP|DNF|DNI|DNM|DNS|DNE|NOFIT)(?![A-Za-z0-9])"
    r"|(?:do |to be )?(?:not|nicht|non|no)[ -](?:be )?(?:fit(?:ted)?|mount(?:ed)?|populated?|placed?|install(?:ed)?"
    r"|stuffed|assembled|best(?:ü|ue)ckt|mont[ée]|used|present|required|load(?:ed)?)"
    r"|no[ -]cap(?:acitor)?|n\. ?best\.?"
    r"|unpopulated|unfitted|unstuffed|omit(?:ted)?|left out|empty|entf[äa]llt)(?![A-Za-z0-9])",
    re.I,
)
MAYBE_NOT_FITTED = re.compile(r"(?:N\.?C\.?|n\.c\.|n/c|NF|NP|NI|NU|none|nil)(?![A-Za-z0-9])")

_PIECES = (
    r"(?:pcs?\.?|pieces?|off|st(?:k|ü?ck|\.)?\.?|ea(?:ch)?\.?|units?|uds?\.?|pz\.?|szt\.?|ks\.?|stuks?|qty\.?|times"
    r"|mal|fach)"
)
COUNT = re.compile(rf"(?P<number>\d{{1,4}}) ?-?{_PIECES}(?![A-Za-z0-9])", re.I)
COUNT_LABEL = re.compile(
    r"(?:qty|quantity|q'ty|menge|anzahl|pcs|count|no\.? off)\.? ?[:=]? ?(?P<number>\d{1,4})(?![\w.,])", re.I
)
TIMES_FIRST = re.compile(rf"(?P<number>\d{{1,3}})(?P<gap> ?)[xX*](?P<after> ?)(?={NUMBER}|$|[A-Za-z(\[])")
TIMES_LAST = re.compile(
    rf"(?:\( ?)?(?P<mark>[xX*] ?(?P<number>\d{{1,3}})|(?P<number2>\d{{1,3}}) ?[xX*])(?![\w.,])"
    rf"(?! ?(?:{_FARAD}|V|mm)(?![A-Za-z]))(?: ?\))?",
)
PARENTHESISED = re.compile(r"\((?P<number>\d{1,2})\)")
_WITH_SECTIONS = re.compile(
    r"(?P<stem>[A-Za-z]+\d+)(?P<first>[A-Za-z])(?P<more>(?: ?[/,&+-] ?[A-Za-z](?![A-Za-z0-9]))+)"
)


def _spell_out(match: re.Match[str]) -> str:
    """Return C12a/b as C12a,C12b."""
    first, letters = match["first"], re.findall("[A-Za-z]", match["more"])
    if "-" in match["more"] and first < letters[-1]:
        letters = [chr(code) for code in range(ord(first), ord(letters[-1]) + 1)][1:]
    letters = [first, *letters]
    return ",".join(match["stem"] + letter for letter in letters)


def _expand(text: str) -> tuple[list[str], str]:
    """Return the designators of a list with its ranges filled in, and a doubt."""
    found: list[str] = []
    text, lettered = _WITH_SECTIONS.subn(_spell_out, text)
    doubt = "a slash may join two positions or one shared can" if "/" in re.sub(r"A\d+/", "", text) else ""
    doubt = "sections of one can, or several parts" if lettered else doubt
    board, letters, last = "", "C", 0
    for one in _ONE.compiled.finditer(text):
        first = _SPLIT.match(one["first"])
        if not first:
            continue
        bare = not first["letters"]
        board, letters = (board, letters) if bare else ((first["board"] or "").upper(), first["letters"].upper())
        number = int(first["number"])
        if bare and number <= last:
            doubt = doubt or "a number in the list may be no designator"
        if bare and number >= last + 9:
            doubt = doubt or "a number in the list may be a value"
        end = _SPLIT.match(one["last"]) if one["last"] else None
        if end is None:
            found.append(f"{board}{letters}{first['number']}{first['section']}")
            last = number
            continue
        last = int(end["number"])
        if end["letters"].upper() not in ("", letters) or last < number or (first["section"] or end["section"]):
            doubt = doubt or "the range does not run upwards within one letter"
        if abs(last - number) >= MOST:
            return found, "the range is too long"
        if not end["letters"] and len(one["first"]) < 4 and one["mark"].strip() == "-":
            doubt = doubt or "a hyphen and a bare number may be a range or a part of the name"
        step = 1 if last >= number else -1
        width = len(first["number"]) if first["number"].startswith("0") else 0
        found += [f"{board}{letters}{n:0{width}d}" for n in range(number, last + step, step)]
    sections = [name[:-1] for name in found if name[-1].isalpha()]
    if len(set(sections)) < len(sections):
        doubt = doubt or "sections of one can, or several parts"
    unique = list(dict.fromkeys(found))
    if len(unique) < len(found):
        doubt = doubt or "a designator stands twice"
    return unique, doubt


def designators(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read C17, C19 and C20; C101-C108; A10C18; C12a."""
    listed = _LIST.match(match.string, match.start())
    written = listed[0] if listed else match[0]
    found, doubt = _expand(written)
    if not found or len(found) > MOST:
        return None
    shown = ", ".join(found[:4]) + (f" … {found[-1]}" if len(found) > 4 else "")
    fields = {"designators": tuple(found), "quantity": len(found)}
    options = [Option(fields, f"{len(found)} position{'s' if len(found) > 1 else ''}: {shown}")]
    if "/" in written and doubt:
        options.append(Option({**fields, "quantity": 1}, "one can shared by these designators"))
    return Item("designators", written, tuple(options), doubt, "designators")


def other_part(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise the designator of a part that is no capacitor."""
    if items:
        return Item("word", match[0])
    return Item("other part", match[0], rule="designator of another part")


def not_fitted(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read N. M., DNP, not fitted: nothing sits there."""
    return Item("quantity", match[0], (Option({"quantity": 0}, f'"{match[0]}": not fitted'),), "", "not fitted")


def maybe_not_fitted(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read NC or NP alone, which have another meaning each."""
    if items or match.string[match.end() :].strip():
        return None
    other = {"NP": "non-polar", "NC": "no connection", "N.C.": "no connection"}.get(match[0].upper(), "something else")
    doubt = f'"{match[0]}" may mean not fitted or {other}'
    return Item("quantity", match[0], (Option({"quantity": 0}, "not fitted"), Option({}, other)), doubt, "not fitted")


def count(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 10 pcs, qty 4."""
    number = int(match["number"])
    if any(item.kind in ("quantity", "times") for item in items):
        return None
    return Item("quantity", match[0], (Option({"quantity": number}, f"{number} pieces"),), "", "count")


def times_first(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 10x before a value: a count, or for small numbers the sections of one can."""
    number, rest = int(match["number"]), match.string[match.end() :]
    if number == 0 or any(item.kind in ("quantity", "times") for item in items):
        return None
    if re.match(r"[12](?!\w)|[5-8][RSTUVP](?!\w)", rest):
        return None  # 250 X2 is a mains class, 104 X7R a ceramic
    pieces = Option({"quantity": number}, f"{number} pieces")
    sections = Option({"sections": number}, f"{number} equal sections of one can")
    rated = re.search(r"(?<![\d.,])(\d+(?:[.,]\d)?) ?[Vv]", rest)
    low = rated is not None and number != 2 and float(rated[1].replace(",", ".")) < 100
    high = re.search(r"(?<![\d.,])([1-9]\d{2}) ?[Vv/]?", re.sub(r"^[\d.,]+", "", rest))
    listed = not match["gap"] and match["after"]
    valve = high is not None and float(high[1]) >= 150
    plainly = number == 1 or number > 4 or low or not re.match(NUMBER, rest)
    if plainly or (listed and not valve):
        return Item("times", match[0], (pieces,), "", "count")
    order = (sections, pieces) if valve else (pieces, sections)
    return Item("times", match[0], order, "several pieces, or equal sections of one can", "count")


def times_last(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read x4 or (4x) after a value."""
    number = int(match["number"] or match["number2"])
    known = {item.kind for item in items}
    valued = known & {"capacitance", "capacitances", "voltage", "code", "designators", "size", "temperature"}
    if number == 0 or not (valued or match[0] == match.string):
        return None
    if known & {"quantity", "times"}:
        return None
    doubt = "X2 may be a mains class" if match["mark"][:1] == "X" and number <= 2 else ""
    return Item("quantity", match[0], (Option({"quantity": number}, f"{number} pieces"),), doubt, "count")


def parenthesised(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read (4) after a value: likely a count."""
    known = {item.kind for item in items}
    if items and not known & {"capacitance", "capacitances", "voltage", "designators"}:
        return None
    number = int(match["number"])
    named = [item for item in items if item.kind == "designators"]
    doubt = "" if named and named[0].fields["quantity"] == number else "a number in brackets may be a count"
    return Item("quantity", match[0], (Option({"quantity": number}, f"{number} pieces"),), doubt, "count")


CLAUSES = (
    (NOT_FITTED, not_fitted),
    (MAYBE_NOT_FITTED, maybe_not_fitted),
    (_FIRST, designators),
    (COUNT, count),
    (COUNT_LABEL, count),
    (PARENTHESISED, parenthesised),
)
TIMES_CLAUSES = ((TIMES_FIRST, times_first), (TIMES_LAST, times_last))
OTHER_CLAUSES = ((OTHER_PART, other_part),)
