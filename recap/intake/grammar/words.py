"""Words that carry no number: kind, polarity, mounting, mains class; and quantities that are no ratings."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recap.intake.grammar.items import Builder, Item, LatePattern, Option
from recap.intake.grammar.numerals import NUMBER, read_number
from recap.model.vocabulary import Kind, Mounting

_W = r"(?![A-Za-z0-9])"
DIELECTRIC = re.compile(rf"(?:X[5678][RSTUVP]|Y5[VUPSTR]|Z5[UV]|C0G|COG|NP0|NPO)(?=[JKMZ]?{_W})")
SAFETY = re.compile(
    r"(?P<class1>class[ -]?)?(?P<name>(?P<letter>[XxYy])(?P<digit>[1-4])?)(?: ?/? ?(?P<second>Y[1-4]))?"
    rf"(?P<class2>[ -]?(?:class|caps?|capacitors?|rated))?(?=MK|{_W})",
)
_KINDS: tuple[tuple[str, Kind], ...] = (
    (r"(?:wet[ -](?:slug )?tant(?:alum)?)", Kind.WET_TANTALUM),
    (r"(?:solid )?tant(?:al(?:um)?)?s?\.?(?: bead)?|tant bead|TA", Kind.SOLID_TANTALUM),
    (
        r"non[ -]?pol(?:ar(?:i[sz]ed)?)?\.?|unpolari[sz]ed|n\.p\.|NPE?|n/p|nichtpolar|ungepolt"
        r"|bi[ -]?pol(?:ar)?\.?|BP|b\.p\.|bipolaire",
        Kind.NON_POLAR_ALUMINIUM,
    ),
    (r"hybrid", Kind.HYBRID),
    (r"(?:solid |conductive )?poly(?:mer)(?: alum\w*)?|al[ -]?poly(?:mer)?", Kind.SOLID_POLYMER),
    (
        r"(?:metalli[sz]ed )?(?:polyester|polypropylene|polycarbonate|polystyrene|film|foil|mylar|folie)"
        r"|MK[PTSCY]\d*|FK[PSC]\d*|K[PST]|PET|mica",
        Kind.FILM,
    ),
    (r"metalli[sz]ed[ -]paper|MPX?", Kind.METALLISED_PAPER),
    (r"paper(?: in oil)?|PIO|wax", Kind.PAPER),
    (r"cer(?:amic)?s?\.?|MLCC|dis[ck]|kerko", Kind.CERAMIC),
    (
        r"(?:al(?:u(?:m(?:ini?um)?)?)?\.?[ -]?)?electrolytics?|e?lytics?|e-?caps?|elkos?|elyt|elec(?:t(?:ro)?)?\.?"
        r"|chimique|électrolytique|alu?(?:mini?um)?\.?|AE|CE|CG|computer[ -]grade",
        Kind.WET_ALUMINIUM,
    ),
)
_MOUNTINGS: tuple[tuple[str, Mounting], ...] = (
    (r"ax(?:ial)?\.?", Mounting.AXIAL),
    (r"rad(?:ial)?\.?|single[ -]ended", Mounting.RADIAL),
    (r"SM[DT](?: can)?|v-?chip|surface[ -]mount", Mounting.SMD_CAN),
    (r"snap[ -]?in|snap", Mounting.SNAP_IN),
    (r"screw(?:[ -]terminals?)?", Mounting.SCREW),
    (r"twist[ -]?(?:lock|tab)|FP|lugs?", Mounting.TWIST_LOCK),
    (r"chip", Mounting.CHIP),
)
KIND_WORDS = LatePattern("|".join(f"(?P<k{i}>(?:{p}){_W})" for i, (p, _) in enumerate(_KINDS)), re.I)
MOUNTING_WORDS = LatePattern("|".join(f"(?P<m{i}>(?:{p}){_W})" for i, (p, _) in enumerate(_MOUNTINGS)), re.I)

ALTERNATING = LatePattern(
    rf"(?:a\. ?c\.|ac(?=\d|{_W})|mains|motor(?:[ -](?:run|start)(?:ing)?)?|line filter|wechsel\w*"
    r"|(?:run|start)(?:ing)?[ -](?:cap(?:acitor)?))",
    re.I,
)
TILDE = re.compile(r"~(?! ?\d)")
DIRECT = LatePattern(rf"(?:d\. ?c\.|dc(?=\d|{_W}))", re.I)
RATED_WORD = LatePattern(rf"(?:working|work|wkg\.?|wrkg\.?|rated|nominal|nom\.?|nennspannung){_W}", re.I)
SURGE_WORD = LatePattern(rf"(?:surge|peak|pk|test|spitze){_W}", re.I)

FREQUENCY = LatePattern(
    rf"(?P<number>{NUMBER})(?: ?[/-] ?{NUMBER})? ?(?:(?P<kilo>[kM])?Hz|c/s|cps|cycles?|~(?= ?$)){_W}", re.I
)
RIPPLE = LatePattern(rf"(?P<number>{NUMBER}) ?(?P<prefix>[mu])?A(?:rms|pp?|ac|dc)?\.?{_W}")
RESISTANCE = LatePattern(rf"{NUMBER} ?[mkKM]? ?(?:ohms?|Ohms?|R){_W}|\d{{1,3}}[kKMR]\d{{1,2}}{_W}")
INDUCTANCE = LatePattern(rf"{NUMBER} ?[munp]?H{_W}")
POWER = LatePattern(rf"{NUMBER} ?[mk]?W{_W}")
PINS = LatePattern(rf"\d{{1,2}} ?-?(?:pins?|legs?|leads?|tabs?|terminals?|tags?){_W}", re.I)
THOUSANDS = re.compile(rf"(?P<number>{NUMBER}) ?[kK]{_W}")


def dielectric(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a ceramic's temperature characteristic, which is no mains class."""
    return Item("kind", match[0], value=Kind.CERAMIC)


def safety(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a mains class; its volts are AC volts whatever the unit says."""
    lettered = match["digit"] or match["second"]
    said = match["class1"] or match["class2"]
    rated = [item.fields.get("rated_voltage_v", 0) for item in items if item.kind == "voltage"]
    high = any(value >= 125 for value in rated)
    if match["letter"].islower() and not said and not high:
        return None  # x2 is a count
    if rated and not high and not said:
        return None
    doubt = ""
    if not lettered and not said:
        if match["letter"].islower() or not items:
            return None
        doubt = f"{match['letter']} alone may be a mains class"
    name = match["name"].upper() + (match["second"] or "")
    option = Option({"ac": True}, f"{name} is a mains class, its volts are AC")
    return Item("safety", match[0], (option,), doubt, "mains class", value=name)


def kind_word(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a word for what a capacitor is made of."""
    index = next(int(name[1:]) for name, text in match.groupdict().items() if text)
    return Item("kind", match[0], rule="kind word", value=_KINDS[index][1])


def mounting_word(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a word for how it is mounted."""
    index = next(int(name[1:]) for name, text in match.groupdict().items() if text)
    return Item("mounting", match[0], rule="mounting word", value=_MOUNTINGS[index][1])


def alternating(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a word that says AC."""
    return Item("current", match[0], (Option({"ac": True}, f'"{match[0].strip()}" says AC'),), "", "AC word")


def direct(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a word that says DC."""
    return Item("current", match[0], (Option({"ac": False}, f'"{match[0].strip()}" says DC'),), "", "DC word")


def frequency(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a frequency; a mains frequency says that the volts are AC."""
    numeral = read_number(match["number"])
    if numeral and not match["kilo"] and float(numeral.value) in (16.7, 25.0, 50.0, 60.0, 400.0):
        return Item("current", match[0], (Option({"ac": True}, f'"{match[0]}" says AC'),), "", "mains frequency")
    scale = {"k": 1e3, "m": 1e6, "": 1.0}[(match["kilo"] or "").lower()]
    return Item("frequency", match[0], value=float(numeral.value) * scale if numeral else None)


def ripple(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a current, which on a capacitor is ripple."""
    numeral = read_number(match["number"], decimals_only=True)
    if numeral is None:
        return None
    return Item("ripple", match[0], value=float(numeral.value) * {"m": 1e-3, "u": 1e-6}.get(match["prefix"], 1.0))


def resistance(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise ohms; R between figures is left to the codes."""
    if re.fullmatch(r"\d{1,3}R\d{1,2}", match[0]):
        return None
    return Item("resistance", match[0])


def inductance(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise henries."""
    return Item("inductance", match[0])


def power(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise watts."""
    return Item("power", match[0])


def thousands(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 40K: thousands of µF on a big can."""
    numeral = read_number(match["number"])
    if numeral is None or numeral.value == 0 or any(item.kind.startswith("capacitance") for item in items):
        return None
    value = float(numeral.value) * 1e-3
    option = Option({"capacitance_f": value}, f"K for thousands of µF on a big can: {value * 1e6:,.0f} µF")
    return Item(
        "capacitance",
        match[0],
        (option,),
        "K may also be ±10 % or kilohm",
        "K for thousand",
        value="k",
        confused_with=("tolerance K", "kilohm"),
    )


def silent(kind: str) -> Builder:
    """Return a builder for words whose presence alone matters."""

    def build(match: re.Match[str], items: Sequence[Item]) -> Item | None:
        return Item(kind, match[0])

    return build


FIRST_CLAUSES = ((DIELECTRIC, dielectric), (SAFETY, safety))
CLAUSES = (
    (FREQUENCY, frequency),
    (RIPPLE, ripple),
    (RESISTANCE, resistance),
    (THOUSANDS, thousands),
    (PINS, silent("word")),
    (INDUCTANCE, inductance),
    (POWER, power),
    (ALTERNATING, alternating),
    (TILDE, alternating),
    (DIRECT, direct),
    (RATED_WORD, silent("rated word")),
    (SURGE_WORD, silent("surge word")),
    (KIND_WORDS, kind_word),
    (MOUNTING_WORDS, mounting_word),
)
