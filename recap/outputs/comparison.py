"""What changed since an earlier plan, and why: decisions, demands, parts, lines and what is paid."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from recap.model import Relation
from recap.model.figures import demand, name_of
from recap.model.plan import Change
from recap.outputs.naming import PLAN
from recap.outputs.purchase_tables import money
from recap.problems import UnreadableFile
from recap.units import farads, plain

_WHYS = 2
"""Reasons that are told of one change."""

Json = Mapping[str, Any]


def read_plan(path: Path) -> dict[str, Any]:
    """Return the result of an earlier plan, given as its file or the folder that holds it; raises UnreadableFile."""
    file = path / PLAN if path.is_dir() else path
    try:
        result = json.loads(file.read_text(encoding="utf-8"))["result"]
        known = {"positions", "lines", "totals", "policy", "units"} <= set(result)
    except OSError as error:
        raise UnreadableFile(f"{file}: {error.strerror}") from error
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise UnreadableFile(f"{file}: not a plan of recap") from error
    if not known:
        raise UnreadableFile(f"{file}: not a plan of recap")
    return dict(result)


def changes(old: Json, new: Json, file: str = "the earlier plan") -> tuple[Change, ...]:
    """Return everything in which a plan's result differs from an earlier one; raises UnreadableFile for no plan."""
    try:
        return tuple(_changes(old, new))
    except (KeyError, TypeError, AttributeError, ValueError) as error:
        raise UnreadableFile(f"{file}: not a plan of recap, or one of another version") from error


def _changes(old: Json, new: Json) -> Iterator[Change]:
    choices = list(_choices(old, new))
    yield from choices
    yield from _units(old, new)
    before, after = _by(old["positions"], "key"), _by(new["positions"], "key")
    policy = f"policy: {choices[0].subject} is now {choices[0].after}" if choices else ""
    for key in dict.fromkeys((*before, *after)):
        if key not in before:
            yield Change(key, "position", None, after[key]["decision"], "new on the list")
        elif key not in after:
            yield Change(key, "position", before[key]["decision"], None, "no longer on the list")
        else:
            yield from _position(key, before[key], after[key], policy)
    yield from _lines(old, new)
    yield from _totals(old, new)


def _by(items: Sequence[Json], name: str) -> dict[str, Json]:
    return {str(item[name]): item for item in items}


def _choices(old: Json, new: Json) -> Iterator[Change]:
    if old["policy"]["name"] != new["policy"]["name"]:
        yield Change("policy", "policy", old["policy"]["name"], new["policy"]["name"], "given with --policy")
    before, after = old["policy"]["choices"], new["policy"]["choices"]
    for name in dict.fromkeys((*before, *after)):
        if before.get(name) != after.get(name):
            yield Change(name, "policy", before.get(name), after.get(name), "the policy was changed")


def _units(old: Json, new: Json) -> Iterator[Change]:
    before, after = _by(old["units"], "name"), _by(new["units"], "name")
    for name in before.keys() & after.keys():
        for field, was in before[name].items():
            now = after[name].get(field)
            if was != now and not isinstance(was, list):
                yield Change(name, field.replace("_", " "), _text(was), _text(now), "changed on the Unit sheet")


def _position(key: str, old: Json, new: Json, policy: str) -> Iterator[Change]:
    fresh = [reason for reason in new["reasons"] if reason not in old["reasons"]]
    gone = [reason for reason in old["reasons"] if reason not in new["reasons"]]
    if old["decision"] != new["decision"]:
        stops = [stop for stop in new["stops"] if stop not in old["stops"]]
        settled = [f"settled: {stop}" for stop in old["stops"] if stop not in new["stops"]]
        why = [*stops, *settled, *fresh] or [f"no longer: {reason}" for reason in gone] or [policy]
        yield Change(key, "decision", old["decision"], new["decision"], "; ".join(why[:_WHYS]))
    if old["orientation"] != new["orientation"]:
        why = [*new["orientation_conflicts"], *(f"missing: {each}" for each in new["orientation_missing"])]
        said = "; ".join(why[:_WHYS]) or "the witnesses of polarity changed"
        yield Change(key, "which way round", old["orientation"], new["orientation"], said)
    before, after = _governing(old), _governing(new)
    for name in dict.fromkeys((*before, *after)):
        was, now = before.get(name), after.get(name)
        texts = (None if was is None else _demand(was), None if now is None else _demand(now))
        if texts[0] != texts[1]:
            said = now["reason"] if now is not None else f"no longer: {was['reason'] if was is not None else ''}"
            yield Change(key, name, *texts, said)
    yield from _part(key, old.get("part"), new.get("part"), wanted=new["meant"] == "replace")


def _governing(position: Json) -> dict[str, Json]:
    """Return the demands that count, by quantity, sign and frequency in words."""
    found = {}
    for item in position["requirements"]:
        if item["governing"]:
            sign = "" if item["relation"] != "at_most" else " at most"
            found[name_of(item["quantity"], item["frequency_hz"]) + sign] = item
    return found


def _demand(item: Json) -> str:
    value = tuple(item["value"]) if isinstance(item["value"], list) else item["value"]
    wish = "" if item["strength"] == "must" else " if possible"
    return demand(Relation(item["relation"]), value, item["unit"]) + wish


def _part(key: str, old: Json | None, new: Json | None, wanted: bool) -> Iterator[Change]:
    was, now = _part_text(old), _part_text(new)
    if was == now:
        return
    if new is None and not wanted:
        why = "it is not to be replaced now"
    elif new is None:
        why = "no part of the catalogues serves it any more"
    elif old is None:
        why = "chosen from the catalogues"
    else:
        why = "part of the cheapest order now; the list of alternates tells by how much"
    yield Change(key, "part", was, now, why)


def _part_text(part: Json | None) -> str | None:
    if part is None:
        return None
    return " ".join(filter(None, (part["maker"], part["mpn"] or part["order_code"]))) + f", {part['seller']}"


def _lines(old: Json, new: Json) -> Iterator[Change]:
    before, after = _line_texts(old), _line_texts(new)
    for what in dict.fromkeys((*before, *after)):
        was, now = before.get(what), after.get(what)
        if was is None:
            yield Change("order", what, None, _pieces(now), _added(new, what))
        elif now is None:
            yield Change("order", what, _pieces(was), None, "nothing asks for it any more")
        elif was != now:
            yield Change("order", what, _pieces(was), _pieces(now), "the number of positions or spares changed")


def _pieces(count: int | None) -> str:
    return f"{count or 0:,} pieces"


def _added(new: Json, what: str) -> str:
    positions = [key for line in new["lines"] if _line_text(line) == what for key in line["positions"]]
    more = f" and {len(positions) - 3} more" if len(positions) > 3 else ""
    return f"for {', '.join(positions[:3])}{more}"


def _line_texts(plan: Json) -> dict[str, int]:
    found: dict[str, int] = {}
    for line in plan["lines"]:
        found[_line_text(line)] = found.get(_line_text(line), 0) + int(line["quantity"])
    return found


def _line_text(line: Json) -> str:
    part, spec = line["part"], line["specification"]
    if part is not None:
        name = " ".join(filter(None, (part.get("maker", ""), part.get("mpn", "") or part.get("order_code", ""))))
        return f"{name or part.get('text', '')}, {line['seller']}"
    return f"{farads(spec['capacitance_f'])} {plain(spec['rated_voltage_v'])} V {spec['mounting']} {spec['kinds'][0]}"


def _totals(old: Json, new: Json) -> Iterator[Change]:
    was, now = old["totals"]["cost"], new["totals"]["cost"]
    if was != now:
        currency = (new.get("purchase") or old.get("purchase") or {}).get("currency", "")
        texts = (None if was is None else money(was, currency), None if now is None else money(now, currency))
        why = "" if was is None or now is None else f"{money(now - was, currency)} more" if now > was else (
            f"{money(was - now, currency)} less"
        )  # fmt: skip
        yield Change("order", "to pay", *texts, why)


def _text(value: Any) -> str | None:
    if value is None or isinstance(value, str):
        return value
    return plain(value) if isinstance(value, int | float) and not isinstance(value, bool) else str(value)
