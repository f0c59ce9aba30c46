"""Temperature: the category of the original, 105 °C for new wet parts, margin over the hottest air."""

from __future__ import annotations

from collections.abc import Iterable

from recap.model import WET_KINDS, Kind, Relation
from recap.rules.case import Case
from recap.rules.rule import Outcome, Say, rule
from recap.units import plain


@rule("category-original", "Category no lower than the original's", "common-practice", "temperature")
def category_original(case: Case, say: Say) -> Iterable[Outcome]:
    """The marked upper category temperature is a floor."""
    if case.category is None:
        yield say.missing("marked temperature")
        return
    yield say.demand(
        "upper_category_temperature_c", Relation.AT_LEAST, case.category.value, "°C", [case.category.input],
        "a replacement is rated no cooler than the original",
        f"upper category temperature at least {plain(case.category.value)} °C",
    )  # fmt: skip


@rule("category-preferred", "105 °C for new wet parts", "common-practice", "temperature")
def category_preferred(case: Case, say: Say) -> Iterable[Outcome]:
    """The policy's preferred category for wet aluminium."""
    if case.position.body.kind not in WET_KINDS | {Kind.UNKNOWN}:
        return
    floor = case.policy.number("temperature", "preferred_category_c")
    yield say.demand(
        "upper_category_temperature_c", Relation.AT_LEAST, floor, "°C", [],
        f"new wet parts of {plain(floor)} °C cost little more and last longer (policy {case.policy.name})",
        f"upper category temperature at least {plain(floor)} °C", prefer=True,
        source=case.policy.source("temperature", "preferred_category_source"),
    )  # fmt: skip


@rule("category-air", "Margin over the hottest air", "sd-18", "temperature")
def category_air(case: Case, say: Say) -> Iterable[Outcome]:
    """The category lies above the hottest air (must) and by a margin (prefer)."""
    if not case.is_electrolytic:
        return
    air = case.ambient
    yield say.demand(
        "upper_category_temperature_c", Relation.AT_LEAST, air.value, "°C", [air.input],
        "never hotter than its category",
        f"upper category temperature at least {plain(air.value)} °C", source="common-practice",
    )  # fmt: skip
    margin = case.policy.number("temperature", "margin_k")
    floor = air.value + margin
    yield say.demand(
        "upper_category_temperature_c", Relation.AT_LEAST, floor, "°C", [air.input],
        f"hottest air stays {plain(margin)} K below the category",
        f"upper category temperature at least {plain(floor)} °C", prefer=True,
        source=case.policy.source("temperature", "margin_source"),
    )  # fmt: skip


@rule("category-cold", "Low end of the category", "our-judgement", "temperature")
def category_cold(case: Case, say: Say) -> Iterable[Outcome]:
    """A low end of the category that keeps the impedance down in a cold room."""
    if case.position.body.kind not in WET_KINDS | {Kind.UNKNOWN}:
        return
    high_voltage = case.family == "wet-aluminium-high-voltage"
    key = "preferred_low_end_high_voltage_c" if high_voltage else "preferred_low_end_c"
    low = case.policy.number("temperature", key)
    text = f"{plain(low)} °C".replace("-", "−")
    yield say.demand(
        "lower_category_temperature_c", Relation.AT_MOST, low, "°C",
        [case.rated_voltage.input] if case.rated_voltage else [],
        "impedance rises steeply in the cold", f"lower category temperature at most {text}", prefer=True,
        source=case.policy.source("temperature", "preferred_low_end_source"),
    )  # fmt: skip
