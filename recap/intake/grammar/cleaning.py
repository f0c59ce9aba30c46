"""One spelling for what people, scanners and wrong character tables write in many."""

from __future__ import annotations

import re
import unicodedata

_WRONG_TABLES = ("cp1252", "latin-1", "cp1251", "mac_roman")
_NOT_ASCII = re.compile(r"[^\x00-\x7f]{2,}")

# Spelled out before compatibility folding, which would turn ½ into 1⁄2 and glue it to the figure before.
_BEFORE_FOLDING = {
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
    "˚": "°", "º": "°", "∘": "°", "゜": "°",
    "㎌": "uF", "㎋": "nF", "㎊": "pF", "㏄": "cc",
}  # fmt: skip
_AFTER_FOLDING = {
    "μ": "u", "Μ": "u",
    "Φ": "Ø", "φ": "Ø", "ϕ": "Ø", "ø": "Ø", "⌀": "Ø", "∅": "Ø", "Ф": "F", "ф": "f",
    "×": "x", "✕": "x", "✖": "x", "⨯": "x", "∗": "*", "·": ".",
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "-", "―": "-", "−": "-", "﹣": "-",
    "⎓": " DC ", "⎼": " DC ", "∿": "~", "∼": "~", "～": "~", "〜": "~", "≈": "~", "˜": "~",
    "“": '"', "”": '"', "„": '"', "″": '"', "’": "'", "‘": "'", "′": "'", "´": "'", "`": "'",
    "⁄": "/", "∕": "/", "，": ",", "、": ",", "；": ";", "：": ":", "＠": "@", "٫": ".", "٬": "'",
    "≥": ">=", "≤": "<=", "∓": "±", "Ω": "ohm",
    "个": " pcs ", "個": " pcs ", "只": " pcs ",
}  # fmt: skip
# Cyrillic letters by what they stand for in a marking: мкФ, нФ, пФ, 16 В, 105 °С, х for times.
_CYRILLIC = str.maketrans(
    "АВЕЗКМНОРСТХУавеикмнорстхупПгГ", "ABE3KMNOPCTXYaveikmnopctxypPgG"
)  # fmt: skip
_CYRILLIC_WORDS = (
    (re.compile(r"н(?=[Фф])"), "n"),
    (re.compile(r"Н(?=[Фф])"), "n"),
    (re.compile(r"[пП](?=[Фф])"), "p"),
    (re.compile(r"мк(?![А-яФф])"), "mkf"),
    (re.compile(r"(?<=\d)\s*В(?![А-Яа-яёA-Za-z])"), " V"),
    (re.compile(r"(?<=\d)\s*в(?![А-Яа-яёA-Za-z])"), " V"),
    (re.compile(r"вольт[а-я]*", re.I), "volt"),
    (re.compile(r"шт(?:ук[аи]?)?\.?", re.I), "pcs"),
    (re.compile(r"(?<=\d)\s*(?:часов|часа|час|ч)(?![а-я])", re.I), " h"),
    (re.compile(r"мм"), "mm"),
)


def _repair(match: re.Match[str]) -> str:
    run = match[0]
    for table in _WRONG_TABLES:
        try:
            repaired = run.encode(table).decode("utf-8")
        except (UnicodeEncodeError, UnicodeDecodeError):
            continue
        if len(repaired) < len(run):
            return repaired
    return run


_BLANKS = re.compile(r"[\x00-\x20\x7f]+")


def repair_mojibake(text: str) -> str:
    """Return text whose UTF-8 bytes were read with a wrong table as it was meant.

    >>> repair_mojibake("47ÂµF 105â„ƒ")
    '47µF 105℃'
    """
    return _NOT_ASCII.sub(_repair, text)


def clean(text: str) -> str:
    """Return the text with one spelling for micro, degree, diameter, times, dashes, digits and spaces.

    >>> clean("47 µF / 25\\u2009V")
    '47 uF / 25 V'
    >>> clean("Φ10 × 16 mm, 105℃, 22\\u202f000 мкФ")
    'Ø10 x 16 mm, 105°C, 22 000 mkF'
    """
    if text.isascii():  # by far the most usual, and nothing below but the last step touches it
        return _BLANKS.sub(" ", text).strip()
    text = repair_mojibake(text)
    for old, new in _BEFORE_FOLDING.items():
        text = text.replace(old, new)
    text = unicodedata.normalize("NFKC", text)
    if re.search("[А-яёЁ]", text):
        for pattern, plain in _CYRILLIC_WORDS:
            text = pattern.sub(plain, text)
        text = text.translate(_CYRILLIC)
    text = "".join(
        "" if (category := unicodedata.category(char)) in ("Cf", "Mn") else " " if category == "Cc" else char
        for char in text
    )
    for old, new in _AFTER_FOLDING.items():
        text = text.replace(old, new)
    return re.sub(r"\s+", " ", text).strip()


_LOOK_ALIKES = str.maketrans("lIOo", "1100")
_SPOILT_NUMBER = re.compile(
    r"(?<![A-Za-z0-9])(?=[\d.,]*[lIOo])[lIOo\d][lIOo\d.,]*"
    r"(?= ?(?:[unp]\.?f|mfd|mf|v|vdc|vac|wv|mm|hrs?|h|%)(?![A-Za-z]))"
    r"|(?<![A-Za-z0-9])\d*[lIOo]\d+(?= ?(?:°|deg|C\b))",
    re.I,
)


def repair_look_alikes(text: str) -> str:
    """Return the text with the letters l, I, O and o turned into digits where a unit follows.

    >>> repair_look_alikes("lOuF 25V, 1O5°C, 85oC, tol 5%")
    '10uF 25V, 105°C, 85oC, tol 5%'
    """

    def digits(match: re.Match[str]) -> str:
        fixed = match[0].translate(_LOOK_ALIKES)
        return fixed if len(fixed) > 1 and re.search("[1-9]", fixed) else match[0]

    return _SPOILT_NUMBER.sub(digits, text)
