"""What a document expects, as JSON that the document carries with it."""

from __future__ import annotations

import json
from dataclasses import asdict, fields
from typing import Any

from recap.model.sign_off import Asked, Expected, ExpectedRow, ReadingLimit, RowKind

EXPECTED_FORMAT = "recap expected"
EXPECTED_VERSION = 1


def as_json(expected: Expected) -> dict[str, Any]:
    """Return plain JSON values; what stands at its default is left out."""
    return {"format": EXPECTED_FORMAT, "version": EXPECTED_VERSION, **_plain(expected)}


def as_text(expected: Expected) -> str:
    """Return the JSON as text in one line."""
    return json.dumps(as_json(expected), ensure_ascii=False, allow_nan=False, separators=(",", ":"))


def _plain(item: Any) -> dict[str, Any]:
    result: dict[str, Any] = {}
    for field in fields(item):
        value = getattr(item, field.name)
        if value == field.default or value == ():
            continue
        if field.name in ("ticks", "texts", "fields") and value and isinstance(value[0], Asked):
            value = [asdict(asked) for asked in value]
        elif field.name in ("rows", "readings"):
            value = [_plain(each) for each in value]
        result[field.name] = value
    return result


def from_json(data: Any) -> Expected:
    """Return what a document expects; raises ValueError when it is none of ours."""
    if not isinstance(data, dict) or data.get("format") != EXPECTED_FORMAT:
        raise ValueError("it does not carry what a sign-off needs")
    if data.get("version") != EXPECTED_VERSION:
        raise ValueError(f"it was made by another version ({data.get('version')})")
    try:
        return Expected(
            document=str(data["document"]),
            plan=str(data["plan"]),
            unit=str(data["unit"]),
            board=str(data.get("board", "")),
            serial=str(data.get("serial", "")),
            rows=tuple(_row(row) for row in data.get("rows", ())),
            fields=_asked(data.get("fields", ())),
            documents=_pairs(data.get("documents", ())),
            use_h_per_year=float(data["use_h_per_year"]),
            years_wanted=float(data["years_wanted"]),
            sheets=tuple(
                (str(name), tuple(_pairs(row) for row in rows)) for name, rows in data.get("sheets", ())
            ),
        )
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"what it carries for the sign-off is damaged ({error})") from error


def _row(data: dict[str, Any]) -> ExpectedRow:
    given = dict(data)
    given["kind"] = RowKind(given["kind"])
    for name in ("ticks", "texts"):
        given[name] = _asked(given.get(name, ()))
    given["readings"] = tuple(_limit(each) for each in given.get("readings", ()))
    given["before"] = _pairs(given.get("before", ()))
    return ExpectedRow(**given)


def _limit(data: dict[str, Any]) -> ReadingLimit:
    given = dict(data)
    for name in ("fields", "frequency_fields", "words"):
        given[name] = tuple(str(each) for each in given.get(name, ()))
    return ReadingLimit(**given)


def _asked(data: Any) -> tuple[Asked, ...]:
    return tuple(Asked(str(each["id"]), str(each["label"])) for each in data)


def _pairs(data: Any) -> tuple[tuple[str, str], ...]:
    return tuple((str(first), str(second)) for first, second in data)
