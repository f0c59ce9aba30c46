"""Figures that the rules reckon with, and the shop's: tables at their boundaries, roundings, what is asked together."""

from __future__ import annotations

import math

import pytest
from rule_cases import Cells, case, says

from recap.formulas.life import ten_degree_rule
from recap.model import Basis, Kind, Mounting, Relation, Requirement, Strength
from recap.rules import RULES, new_parts, shopping
from recap.rules.asked import Asked
from recap.rules.given import Given
from recap.rules.kind import no_electrolytic
from recap.rules.rule import Outcome, Say, weakest

BY_ID = {each.id: each for each in RULES}
WET = {"kind": "wet aluminium"}


def outcomes(rule_id: str, position: Cells, **sheets: Cells) -> list[Outcome]:
    return list(BY_ID[rule_id].outcomes(case({"position": position, **sheets})))


def said(rule_id: str, position: Cells, **sheets: Cells) -> list[str]:
    return [says(each) for each in outcomes(rule_id, position, **sheets)]


def reasons(rule_id: str, position: Cells, **sheets: Cells) -> list[str]:
    return [str(each.reason) for each in outcomes(rule_id, position, **sheets) if not isinstance(each, str)]  # type: ignore[union-attr]


# Figures of a shop


def test_what_is_round_stays_and_what_is_not_goes_to_the_safe_side() -> None:
    """1.1 × 100 is a hair above 110 and 1.15 × 100 a hair below 115 in binary: neither is a reason to move."""
    assert (shopping.digits_up(1.1), shopping.digits_down(1.15)) == (1.1, 1.15)
    assert (shopping.digits_up(1.1001), shopping.digits_down(1.1499)) == (1.11, 1.14)
    assert (shopping.digits_up(12341.0), shopping.digits_down(12359.0)) == (12400.0, 12300.0)
    assert (shopping.digits_up(0.0012341), shopping.digits_down(0.0012359)) == (0.00124, 0.00123)
    assert shopping.digits_up(None) is None
    assert shopping.digits_down(None) is None
    assert [shopping.down(each, 0.05) for each in (0.65, 0.649, 0.7)] == [0.65, 0.6, 0.7]
    assert [shopping.down(each, 0.5) for each in (2.9, 3.0, 3.49)] == [2.5, 3.0, 3.0]


# What is asked together


def demand(
    quantity: str, relation: Relation, value: object, *, wish: bool = False, hertz: float | None = None
) -> Requirement:
    strength = Strength.PREFER if wish else Strength.MUST
    reason = Say("r", "common-practice").reason([], "o", "r")
    return Requirement(quantity, relation, value, "", strength, reason, Basis.MARKED, hertz, governing=True)  # type: ignore[arg-type]


def test_the_tightest_figure_of_each_kind_is_taken() -> None:
    least, most = Relation.AT_LEAST, Relation.AT_MOST
    asked = Asked([
        demand("v", least, 10.0), demand("v", least, 16.0), demand("v", least, 25.0, wish=True),
        demand("w", least, 99.0), demand("v", Relation.EXACTLY, 20),
        demand("v", most, 50.0), demand("v", most, 40.0), demand("v", most, 30.0, wish=True),
    ])  # fmt: skip
    assert (asked.floor("v", None), asked.floor("v", None, musts=True), asked.floor("x", 7.0)) == (25.0, 16.0, 7.0)
    assert (asked.ceiling("v", None), asked.lowest("v"), asked.ceiling("x", 7.0)) == (40.0, 30.0, 7.0)
    assert (asked.exactly("v", None), asked.exactly("x", 7.0), asked.lowest("x")) == (20.0, 7.0, None)


def test_a_must_chooses_the_frequency_and_the_higher_one_goes_first() -> None:
    least, most = Relation.AT_LEAST, Relation.AT_MOST
    ceilings = [
        demand("esr", most, 1.0, hertz=120.0), demand("esr", most, 0.3, hertz=1e5),
        demand("esr", most, 0.2, hertz=1e5, wish=True), demand("esr", most, 0.01, hertz=2e5, wish=True),
    ]  # fmt: skip
    assert Asked(ceilings).bound("esr", most) == (0.2, 1e5)
    assert Asked(ceilings[:1] + ceilings[3:]).bound("esr", most) == (1.0, 120.0)
    assert Asked(ceilings[2:]).bound("esr", most) == (0.01, 2e5)
    floors = [
        demand("a", least, 1.0, hertz=120.0),
        demand("a", least, 2.0, hertz=120.0),
        demand("a", least, 9.0, hertz=100.0),
    ]
    assert Asked(floors).bound("a", least) == (2.0, 120.0)
    assert Asked([demand("a", least, 1.0), demand("a", least, 3.0)]).bound("a", least) == (3.0, None)
    assert Asked([]).bound("a", least) == (None, None)


def test_choices_are_what_every_must_allows_and_wishes_come_first() -> None:
    one_of = Relation.ONE_OF
    musts = [
        demand("k", one_of, ("a", "b", "c")),
        demand("k", one_of, ("c", "b", "d")),
        demand("k", one_of, ("b", "c")),
    ]
    assert Asked(musts).choices("k") == ("b", "c")
    assert Asked(musts[:2]).choices("k") == ("b", "c")
    assert Asked([*musts, demand("k", one_of, ("c", "a"), wish=True)]).choices("k") == ("c", "b")
    assert Asked([demand("k", one_of, ("x",), wish=True), demand("k", one_of, ("y",), wish=True)]).choices("k") == (
        "x",
    )
    assert Asked(musts).choices("other") == ()


# Figures as inputs


def test_a_figure_shows_its_unit_as_people_write_it() -> None:
    shown = {
        ("F", 100e-6): "100 µF", ("V", 16.0): "16 V", ("A", 0.25): "250 mA", ("Ω", 0.05): "50 mΩ",
        ("Hz", 1e5): "100 kHz", ("°C", 85.0): "85 °C",
    }  # fmt: skip
    for (unit, value), text in shown.items():
        assert Given("n", value, unit, Basis.MARKED).text == text
    assert weakest([]) is Basis.DOCUMENTED
    assert weakest([Basis.MARKED, Basis.CALCULATED, Basis.MEASURED]) is Basis.CALCULATED


# New parts


def test_a_can_takes_the_vent_and_the_leads_of_its_size() -> None:
    """KEMET A4006: 2 mm up to 16 mm, 3 mm up to 40 mm, 5 mm above."""
    assert [new_parts.vent_clearance_mm(each) for each in (5.0, 16.0, 16.1, 40.0, 41.0)] == [2.0, 2.0, 3.0, 3.0, 5.0]
    assert new_parts.vent_clearance_words() == "2 mm up to ⌀16, 3 mm up to ⌀40, 5 mm above"
    assert [new_parts.lead_diameter_mm(each) for each in (4.0, 4.1, 10.0, 13.0, 22.0)] == [0.45, 0.5, 0.6, 0.8, 1.0]
    assert new_parts.lead_diameter_mm(23.0) is None
    assert new_parts.widest_can_mm(Mounting.CHIP) == 0.0


def test_readings_belong_to_a_band_up_to_its_ends() -> None:
    low, high = new_parts.frequency_band("low"), new_parts.frequency_band("high")
    assert [low.holds(each) for each in (89.0, 90.0, 150.0, 151.0)] == [False, True, True, False]
    assert [high.holds(each) for each in (9999.0, 1e4, 1e9)] == [False, True, True]


def test_an_esr_ceiling_goes_by_tan_delta_and_the_ends_of_the_table() -> None:
    """Capacitance and frequency divide it; 0.02 is added for each 1000 µF above the first; ends hold beyond."""
    at = new_parts.esr_ceiling("panasonic-su", 100e-6, 25.0)
    assert new_parts.esr_ceiling("panasonic-su", 200e-6, 25.0) == pytest.approx(at / 2)
    assert new_parts.esr_ceiling("panasonic-su", 100e-6, 25.0, 60.0) == pytest.approx(2 * at)
    lowest, highest = (new_parts.esr_ceiling("panasonic-su", 100e-6, volts) for volts in (1.0, 2000.0))
    assert lowest == new_parts.esr_ceiling("panasonic-su", 100e-6, 6.3)
    assert highest == new_parts.esr_ceiling("panasonic-su", 100e-6, 450.0)
    tan = at * 2 * math.pi * 120 * 100e-6
    more = new_parts.esr_ceiling("panasonic-su", 3000e-6, 25.0) * 2 * math.pi * 120 * 3000e-6
    assert more - tan == pytest.approx(0.04)
    assert new_parts.esr_series(Mounting.SMD_CAN, Kind.NON_POLAR_ALUMINIUM) == "teapo-sn"
    assert new_parts.esr_series(Mounting.SNAP_IN, Kind.WET_ALUMINIUM) == "panasonic-ts-ha"


@pytest.mark.parametrize(
    ("kind", "mounting", "volts", "microamperes", "words"),
    [
        (Kind.WET_ALUMINIUM, Mounting.RADIAL, 100.0, 300.0, "0.03·C·V µA or 4 µA"),
        (Kind.WET_ALUMINIUM, Mounting.RADIAL, 101.0, 0.06 * 10100 + 10, "0.06·C·V + 10 µA"),
        (Kind.WET_ALUMINIUM, Mounting.SNAP_IN, 100.0, 300.0, "3·√(C·V) µA"),
        (Kind.SOLID_TANTALUM, Mounting.RADIAL, 10.0, 10.0, "0.01·C·V µA or 0.5 µA"),
        (Kind.NON_POLAR_ALUMINIUM, Mounting.RADIAL, 10.0, 33.0, "0.03·C·V + 3 µA"),
        (Kind.NON_POLAR_ALUMINIUM, Mounting.SMD_CAN, 10.0, 50.0, "0.05·C·V µA or 10 µA"),
    ],
)
def test_leakage_limits_of_100_uf_by_class(
    kind: Kind, mounting: Mounting, volts: float, microamperes: float, words: str
) -> None:
    limit = new_parts.leakage_limit(kind, mounting, 100e-6, volts)
    assert (limit.limit_a * 1e6, limit.words) == (pytest.approx(microamperes), words)


def test_film_is_never_smaller_than_its_smallest_nor_than_at_its_lowest_rating() -> None:
    """10 µF at 100 V hold 1 mC, at 0.3 mC/cm³ 3.33 cm³; below 50 V it does not shrink, and 0.1 cm³ is the least."""
    assert new_parts.film_volume_cm3(10e-6, 100.0) == pytest.approx(1 / 0.3)
    assert new_parts.film_volume_cm3(10e-6, 10.0) == new_parts.film_volume_cm3(10e-6, 50.0)
    assert new_parts.film_volume_cm3(1e-9, 50.0) == 0.1


def test_the_hot_class_begins_at_its_temperature() -> None:
    assert [new_parts.hot_class(each) for each in (None, 85.0, 104.9, 105.0)] == [False, False, False, True]
    assert (new_parts.rated_rise_k(True), new_parts.rated_rise_k(False)) == (5.0, 10.0)
    cool, hot = (new_parts.ripple_from_size(0.1, 10.0, 16.0, each) for each in (False, True))
    assert cool == pytest.approx(hot * math.sqrt(2))


# ESR


def test_an_esr_reason_tells_the_share_and_whether_to_ask() -> None:
    """A third of the ceiling at 100 kHz; an unknown regulator makes a wish that says so."""
    row = {**WET, "capacitance": "100 µF", "volts": "25 V", "role": "switcher output"}
    assert any("good parts show about 33 % of it at 100 kHz" in each for each in reasons("esr-switching", row))
    assert any("good parts show about 33 % of it at 100 kHz" in each for each in reasons("esr-floor", row))
    regulator = {**WET, "role": "regulator output"}
    certain = outcomes("esr-floor", regulator, rail={"regulator sensitive to ESR": "yes"})
    assert [str(each.reason).count(", or ask") for each in certain if isinstance(each, Requirement)] == [0, 0]
    unknown = [each for each in outcomes("esr-floor", regulator) if isinstance(each, Requirement)]
    assert [str(each.reason).count(", or ask") for each in unknown] == [1, 1]
    assert {each.strength for each in unknown} == {Strength.PREFER}


@pytest.mark.parametrize("given", [{"diameter": "10 mm"}, {"height": "16 mm"}])
def test_half_a_body_infers_no_ripple(given: Cells) -> None:
    row = {**WET, "capacitance": "100 µF", "volts": "25 V", "role": "reservoir", **given}
    lacking = "height" if "diameter" in given else "diameter"
    assert said("ripple-inferred", row) == [f"missing: {lacking}"]


# Kind


def test_only_a_part_of_unknown_kind_can_claim_too_much_charge() -> None:
    """1 F at 5.5 V in 10 × 10 mm are 5.5 C in 0.785 cm³, a hundred times what any electrolytic holds."""
    row = {"capacitance": "1 F", "volts": "5.5 V", "diameter": "10 mm", "height": "10 mm"}
    assert no_electrolytic(case({"position": {**row, "kind": "unknown"}}))
    for kind in ("wet aluminium", "wet tantalum", "film"):
        assert not no_electrolytic(case({"position": {**row, "kind": kind}}))
    for name in row:
        assert not no_electrolytic(
            case({"position": {**{k: v for k, v in row.items() if k != name}, "kind": "unknown"}})
        )


def test_what_a_back_up_part_lacks_is_named_one_by_one() -> None:
    row = {
        "kind": "unknown",
        "role": "backup",
        "capacitance": "1 F",
        "volts": "5.5 V",
        "diameter": "10 mm",
        "height": "10 mm",
    }
    for name in ("capacitance", "volts", "diameter", "height"):
        assert said("double-layer", {k: v for k, v in row.items() if k != name}) == [f"missing: {name}"]


@pytest.mark.parametrize(
    ("marked", "words"),
    [
        ("X", "class X, number not known (assumed)"),
        ("X9", "class X, number not known (assumed)"),
        ("Z9", "class not known (assumed)"),
        ("", "class not known (assumed)"),
    ],
)
def test_an_unknown_class_says_what_is_known_of_it(marked: str, words: str) -> None:
    row = {"kind": "film", "role": "mains safety", **({"class": marked} if marked else {})}
    found = [each for each in outcomes("mains-safety", row) if isinstance(each, Requirement)]
    assert any(words in str(each.reason) for each in found if each.quantity == "safety_class")


# Readings


@pytest.mark.parametrize(
    ("read", "vote"),
    [("100 µF", []), ("119 µF", []), ("121 µF", ["vote measure"]), ("150 µF", ["vote measure"])],
)
def test_only_above_its_tolerance_is_a_reading_suspect(read: str, vote: list[str]) -> None:
    row = {**WET, "capacitance": "100 µF", "tolerance": "-20/20", "in circuit": "no", "capacitance read": read}
    assert said("reading-capacitance", row) == vote
    with_leakage = said("reading-capacitance", {**row, "leakage read": "1 µA"})
    assert [each.split()[0] for each in with_leakage] == ["note:"] * len(vote)


# Life


def test_endurance_is_turned_to_the_wanted_temperature() -> None:
    """2000 h at 85 °C are 500 h at 105 °C by the ten-degree rule; at 105 °C nothing is turned."""
    row = {**WET, "endurance": "2000 h"}
    cool, hot = (outcomes("life-marked", {**row, "temperature": each})[0] for each in ("85 °C", "105 °C"))
    assert isinstance(cool, Requirement)
    assert isinstance(hot, Requirement)
    assert (cool.value, hot.value) == (pytest.approx(ten_degree_rule(2000.0, 85.0, 105.0)), pytest.approx(2000.0))
    assert "ten-degree rule to 105 °C" in str(cool.reason)
    assert "ten-degree rule" not in str(hot.reason)


@pytest.mark.parametrize(
    ("stance", "role", "words"),
    [
        ("conserve", "reservoir", "reform it before use"),
        ("conserve", "decoupling", "let a reading decide"),
        ("repair", "reservoir", "let a reading decide"),
    ],
)
def test_what_age_asks_for_is_told_in_the_words_of_its_vote(stance: str, role: str, words: str) -> None:
    told = reasons("age-and-stance", {**WET, "year": 2000, "role": role}, unit={"stance": stance})
    assert [words in text for text in told] == [True], told
