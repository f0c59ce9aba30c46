"""Whatever is typed at a calculator is answered or refused in one line; nothing ends in a traceback."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from recap.units import NotAQuantity, quantity, quoted
from tests.command_line import Ended, assert_described, recap

CONVERTER = {"switching": "100kHz", "output": "5V", "load": "3A", "capacitance": "1000uF", "esr": "30mohm"}
RECTIFIER = {"mains": "50Hz", "secondary": "9V", "capacitance": "4700uF", "load": "1A", "source-resistance": "0.3ohm"}
LIFE = {"endurance": "2000h", "rated-temperature": "105C", "rated-ripple": "1.2A@100kHz", "ripple": "0.6A@100Hz"}
# Questions with a good answer; each option in turn is spoilt.
QUESTIONS: list[tuple[str, dict[str, str]]] = [
    ("life", {**LIFE, "ambient": "55C", "rated-voltage": "25V", "voltage": "12V", "hours-per-year": "200h"}),
    ("life", {**LIFE, "duty": "8h@45C,8h@55C", "multiplier": "1.4@10kHz"}),
    ("life", {**LIFE, "case-temperature": "58C", "diameter": "16mm"}),
    ("ripple", {"supply": "bridge", **RECTIFIER, "esr": "40mohm", "diode-drop": "0.8V", "diode-resistance": "5mohm"}),
    ("ripple", {"supply": "buck", **CONVERTER, "duty": "0.42", "inductor-ripple": "1A"}),
    ("ripple", {"supply": "flyback", **CONVERTER, "peak-current": "6A", "valley-current": "2A", "conduction": "0.55"}),
    ("discharge", {"capacitance": "470uF", "voltage": "400V", "resistor": "4.7k", "to": "50V"}),
    ("load", {"rail": "12V", "current": "1A", "minimum": "0.4A"}),
    ("lamp", {"lamp": "60W 230V", "mains": "230V", "load": "30W", "load-kind": "constant-power"}),
    ("reform", {"capacitance": "100uF", "voltage": "450V", "stored": "5", "history": "unused"}),
    ("esr", {"capacitance": "100uF", "rated-voltage": "16V", "frequency": "100kHz", "reading": "0.5ohm"}),
    ("substitute-value", {"capacitance": "50uF", "voltage": "150V", "role": "reservoir"}),
]
SPOILT = [(name, options, key) for name, options in QUESTIONS for key in options]
ABSURD = [
    "", " ", "nan", "inf", "-inf", "1e308", "1e-308", "1e400", "-1e308", "9" * 5000, "1e" + "9" * 5000, "x" * 5000,
    "µ", "Ω", "5\N{PILE OF POO}", "٣V", "½V", "\x00", "\x1b[31m", "\ud800", "5 V*2", "9**9**9", "1,000", "@", "1A@",
    "@1Hz", "0@0", "%", "--", "1/0", "None", "{}", "5 furlongs",
]  # fmt: skip


def _asked(name: str, options: dict[str, str]) -> Ended:
    return recap("calc", name, *(f"--{key}={text}" for key, text in options.items()), "--json")


def _assert_orderly(name: str, ended: Ended) -> None:
    if ended.code == 0:
        assert_described(ended.document, f"calc-{name}")
        return
    assert ended.code == 2, ended.err
    assert ended.out == b""
    assert ended.err.count("\n") == 1
    assert len(ended.err) < 600
    assert "\x1b" not in ended.err


@pytest.mark.parametrize(("name", "options"), QUESTIONS, ids=[name for name, _ in QUESTIONS])
def test_the_questions_themselves_are_answered(name: str, options: dict[str, str]) -> None:
    ended = _asked(name, options)
    assert ended.code == 0, ended.err


@pytest.mark.parametrize(("name", "options", "key"), SPOILT, ids=[f"{name} --{key}" for name, _, key in SPOILT])
def test_absurd_values_are_refused(name: str, options: dict[str, str], key: str) -> None:
    for text in ABSURD:
        ended = _asked(name, {**options, key: text})
        _assert_orderly(name, ended)
        nothing = text == "1e-308" and key in ("stored", "ambient", "case-temperature")
        assert ended.code == (0 if nothing else 2), f"{text[:20]!r} was taken"


# Zero means something for a few: no resistance, no ripple, freshly stored, air at 0 °C.
MAY_BE_ZERO = {
    "source-resistance", "esr", "diode-drop", "diode-resistance", "ripple", "valley-current", "stored", "ambient",
    "case-temperature", "output",
}  # fmt: skip
MAY_BE_NEGATIVE = {"rail", "ambient", "case-temperature", "output"}
WORDS = {"supply", "load-kind", "history", "role"}


@pytest.mark.parametrize(("name", "options", "key"), SPOILT, ids=[f"{name} --{key}" for name, _, key in SPOILT])
def test_zero_negative_and_foreign_units_are_refused(name: str, options: dict[str, str], key: str) -> None:
    if key in WORDS:
        return
    good = options[key]
    zero = _asked(name, {**options, key: "0" if key in ("stored", "capacitance") else "0" + good.lstrip("0123456789.")})
    assert zero.code == (0 if key in MAY_BE_ZERO else 2), zero.err or "0 was taken"
    negative = _asked(name, {**options, key: "-" + good})
    turned_round = key in MAY_BE_NEGATIVE or (name, key) == ("discharge", "voltage")
    assert negative.code == (0 if turned_round else 2), negative.err or "a negative value was taken"
    foreign = _asked(name, {**options, key: "5h" if good.endswith(("V", "A", "W", "z", "m", "F", "k", "C")) else "5V"})
    assert foreign.code == 2, "a unit of another kind was taken"


OPTION_TEXTS = st.one_of(
    st.text(max_size=25),
    st.from_regex(r"-?[0-9]{1,4}([.,][0-9]{0,3})?(e-?[0-9]{1,3})? ?[a-zA-Zµ%°@]{0,4}", fullmatch=True),
    st.sampled_from([text for _, options in QUESTIONS for text in options.values()]),
)


@settings(max_examples=60, deadline=None)
@given(st.sampled_from(QUESTIONS), st.data())
def test_any_text_at_any_option_ends_orderly(question: tuple[str, dict[str, str]], data: st.DataObject) -> None:
    name, options = question
    spoilt = data.draw(st.lists(st.sampled_from(list(options)), min_size=1, max_size=3, unique=True))
    texts = {key: data.draw(OPTION_TEXTS, label=key) for key in spoilt}
    _assert_orderly(name, _asked(name, {**options, **texts}))


MARKINGS = st.one_of(st.text(max_size=60), st.text("0123456789uUnpFfVvx.,/-+±%°CRkKMX() ", max_size=40))


@settings(max_examples=60, deadline=None)
@given(st.lists(MARKINGS, min_size=1))
@example(["9" * 999 + "uF"])
@example(["1e308uF", "1/0uF", "C1-C99999", "\ud800", "=cmd|'/c'!A1"])
def test_any_marking_is_read_or_refused(texts: list[str]) -> None:
    ended = recap("calc", "marking", "--json", "--", *texts)
    assert ended.code == 0, ended.err
    assert_described(ended.document, "calc-marking")
    assert [entry["text"] for entry in ended.document["result"]] == texts
    assert recap("calc", "marking", "--", *texts).code == 0


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("5v", "volt", 5), ("-12 V", "volt", -12), ("−12V", "volt", -12), ("6,3V", "volt", 6.3),
        ("1.234V", "volt", 1.234),
        ("4k7", "ohm", 4700), ("0R47", "ohm", 0.47), ("2M2", "ohm", 2.2e6), ("4.7 kΩ", "ohm", 4700),
        ("5mohm", "ohm", 5e-3), ("5 MOhm", "ohm", 5e6), ("0.5 Ohm", "ohm", 0.5), ("100KHZ", "hertz", 1e5),
        ("50 c/s", "hertz", 50),
        ("600 mA", "ampere", 0.6), ("5µA", "ampere", 5e-6), ("2 000 h", "hour", 2000), ("5kh", "hour", 5000),
        ("5 years", "hour", 43830), ('0.5"', "mm", 12.7), ("105 °C", "degC", 105), ("42 %", "dimensionless", 0.42),
    ],
)  # fmt: skip
def test_quantities_are_read_as_the_trade_writes_them(text: str, unit: str, value: float) -> None:
    assert quantity(text, unit) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "says"),
    [
        ("1,000h", "hour", "may mean 1.000 or 1000"), ("1.000 h", "hour", "may mean"), ("1,234V", "volt", "may mean"),
        ("500MA", "ampere", "not a quantity in ampere"), ("100mhz", "hertz", "not a quantity in hertz"),
        ("105 K", "degC", "not a quantity in °C; write it such as 105C"),
        ("1e7V", "volt", "beyond anything on a bench"),
        ("five", "volt", "not a number with a unit"),
    ],
)  # fmt: skip
def test_doubtful_quantities_are_refused_with_the_reason(text: str, unit: str, says: str) -> None:
    with pytest.raises(NotAQuantity, match=says):
        quantity(text, unit)


@given(st.text())
def test_quoted_texts_stay_on_one_short_line(text: str) -> None:
    shown = quoted(text, 40)
    assert len(shown) <= 40
    assert shown.isprintable()
