"""Invented parts that behave like real ones; makers, numbers and prices do not exist.

What they can do follows from laws that real ones follow:

- volume: a can holds its series' charge for each volume of winding; winding is the can less wall, rubber and crimp;
- loss: tan δ falls with the rated voltage as in the data sheet panasonic-su, times a factor of the series, plus 0.02
  for each 1000 µF above 1000 µF; at 100 kHz a share of that resistance is left;
- ripple: the current that warms the can's surface by the rated rise of its class, √(a·S^0.8·ΔT/ESR);
- endurance: grows with the diameter, by the series' ladder;
- price: a start and a share of volume, times the series' class; less at larger quantities.

On top come gaps, obsolete lines, odd prices, minimum quantities, stock-outs, and parts that look right but are not:
wrong spacing, 85 °C, low ripple, too tall.
"""

from __future__ import annotations

import csv
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from recap.ruledata import table

VALUES_UF = [m * 10.0**e for e in range(-1, 5) for m in (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)]
LADDER = (6.3, 10.0, 16.0, 25.0, 35.0, 50.0, 63.0, 100.0, 160.0, 200.0, 250.0, 350.0, 400.0, 450.0)
RADIAL_CANS = [
    (5, 11), (6.3, 11), (8, 11.5), (8, 16), (8, 20), (10, 12.5), (10, 16), (10, 20), (10, 25), (10, 30), (12.5, 20),
    (12.5, 25), (12.5, 30), (12.5, 35), (16, 20), (16, 25), (16, 31.5), (16, 35.5), (18, 31.5), (18, 35.5), (18, 40),
]  # fmt: skip
SMALL_CANS = [(4, 5), (5, 5), (6.3, 5), (4, 7), (5, 7), (6.3, 7), (8, 7)]
SMD_CANS = [(4, 5.4), (5, 5.4), (6.3, 5.4), (6.3, 7.7), (8, 10.2), (10, 10.2), (12.5, 13.5), (16, 16.5), (18, 16.5)]
SNAP_CANS = [(d, h) for d in (22, 25, 30, 35) for h in (25, 30, 35, 40, 45, 50) if h >= d]
AXIAL_CANS = [(4.5, 10), (6, 10), (6.5, 18), (8, 18), (10, 18), (10, 25), (10, 30), (12.5, 30), (15, 30), (18, 30),
              (18, 38), (21, 38)]  # fmt: skip
SCREW_CANS = [(36, 53), (36, 83), (51, 83), (51, 105), (64, 105), (77, 105), (77, 146)]
SCREW_PITCH = {36: 12.7, 51: 21.8, 64: 28.2, 77: 31.4}
HEAT_TRANSFER, HEAT_EXPONENT = 0.0023, 0.8  # can_heat.csv: W/(cm2·K), and what is left of the surface's power
WALL_MM, CRIMP_MM = 1.0, 3.5  # can, sleeve and gap across; rubber and crimp along
CANS: dict[str, list[tuple[float, float]]] = {
    "radial": RADIAL_CANS, "low": RADIAL_CANS[:6], "middle": RADIAL_CANS[:9], "small": SMALL_CANS,
    "SMD can": SMD_CANS, "snap-in": SNAP_CANS, "axial": AXIAL_CANS, "screw": SCREW_CANS,
}  # fmt: skip


@dataclass(frozen=True)
class Series:
    """One invented series with the constants of its laws."""

    maker: str
    name: str
    mounting: str
    kind: str
    cans: list[tuple[float, float]]
    ratings: tuple[float, ...]
    charge_mc_per_cm3: float
    loss: float  # times the loss of a general-purpose part
    share: float  # of the low-frequency resistance left at 100 kHz
    category: tuple[int, int]
    hours: tuple[int, ...]  # up to 6.3 mm, up to 10 mm, above
    price: float
    seller: str
    tolerance: str = "±20%"


@cache
def all_series() -> tuple[Series, ...]:
    """Return the invented series of invented_series.csv, each with the constants of its laws."""
    with (Path(__file__).parent / "invented_series.csv").open(encoding="utf-8", newline="") as stream:
        return tuple(_series(row) for row in csv.DictReader(stream))


def _series(row: dict[str, str]) -> Series:
    lowest, highest = float(row["lowest_v"]), float(row["highest_v"])
    return Series(
        maker=row["maker"],
        name=row["name"],
        mounting=row["mounting"],
        kind=row["kind"],
        cans=CANS[row["cans"]],
        ratings=tuple(rating for rating in LADDER if lowest <= rating <= highest),
        charge_mc_per_cm3=float(row["charge_mc_per_cm3"]),
        loss=float(row["loss"]),
        share=float(row["share"]),
        category=(int(row["coldest_c"]), int(row["hottest_c"])),
        hours=(int(row["hours_small"]), int(row["hours_middle"]), int(row["hours_large"])),
        price=float(row["price"]),
        seller=row["seller"],
    )


@dataclass
class Row:
    """One invented part; None is a gap."""

    series: Series
    number: str
    uf: float
    volts: float
    diameter: float | None
    length: float | None
    spacing: float | None
    lead: float | None
    hours: int | None
    ripple_low: float | None
    ripple_high: float | None
    esr_high: float | None
    loss: float | None
    breaks: list[tuple[int, float]]
    minimum: int
    multiple: int
    stock: int | None
    status: str
    category: tuple[int, int] | None
    ac: int | None = None
    safety: str = ""


def _loss(volts: float, uf: float, series: Series) -> float:
    rows = [row for row in table("tan_delta") if row["series"] == "panasonic-su"]
    near = min(rows, key=lambda row: abs(math.log(float(row["rated_voltage_v"]) / volts)))
    return round(series.loss * (float(near["tan_delta"]) + 0.02 * max(uf - 1000, 0) / 1000), 3)


def _can(uf: float, volts: float, series: Series) -> tuple[float, float] | None:
    needed = uf * volts * 1e-3 / series.charge_mc_per_cm3
    for diameter, length in sorted(series.cans, key=lambda can: can[0] ** 2 * can[1]):
        winding = math.pi / 4 * (diameter - WALL_MM) ** 2 * max(length - CRIMP_MM, 1) / 1000
        if winding >= needed:
            return diameter, length
    return None


def _spacing(series: Series, diameter: float) -> float | None:
    if series.mounting == "screw":
        return SCREW_PITCH[int(diameter)]
    return next(
        (
            float(row["lead_spacing_mm"])
            for row in table("can_sizes")
            if row["style"] == series.mounting and float(row["diameter_mm"]) == diameter and row["lead_spacing_mm"]
        ),
        None,
    )


def _lead(series: Series, diameter: float) -> float | None:
    if series.mounting not in ("radial", "axial"):
        return None
    rows = table("lead_wires")
    return next((float(row["lead_diameter_mm"]) for row in rows if diameter <= float(row["diameter_mm"])), 1.0)


def _ripple(esr: float, diameter: float, length: float, hot: bool) -> float:
    surface = math.pi * diameter * (length + diameter / 2) / 100
    return math.sqrt(HEAT_TRANSFER * surface**HEAT_EXPONENT * (5 if hot else 10) / esr)


def _two_figures(value: float) -> float:
    digits = 2 - math.floor(math.log10(value))
    return round(value, digits)


def _price(volume: float, series: Series, chance: random.Random) -> list[tuple[int, float]]:
    one = (0.06 + 0.11 * volume**0.8) * series.price * chance.uniform(0.85, 1.25)
    breaks = [(1, 1.0), (10, 0.82), (100, 0.6), (1000, 0.45)][: chance.choice((2, 3, 3, 4))]
    prices = [(quantity, round(one * share, 3)) for quantity, share in breaks]
    if chance.random() < 0.01:  # an odd one: more pieces cost more each
        prices[-1] = (prices[-1][0], round(prices[0][1] * 1.15, 3))
    return prices


def _gap(value: float | None, chance: random.Random, often: float) -> float | None:
    return None if chance.random() < often else value


def rows() -> Iterator[Row]:
    """Yield every invented part of the sellers, in the order of their series."""
    chance = random.Random("invented catalogue, third edition")
    for series in all_series():
        for uf in VALUES_UF:
            for volts in series.ratings:
                can = _can(uf, volts, series)
                if can is None or uf * volts < 2.5 or (series.mounting in ("snap-in", "screw") and uf * volts < 9000):
                    continue
                if chance.random() < 0.08:  # not every value is made in every rating
                    continue
                yield _row(series, uf, volts, *can, chance)
                if chance.random() < 0.3 and series.mounting in ("radial", "axial"):
                    taller = _slimmer(series, can)
                    if taller:
                        yield _row(series, uf, volts, *taller, chance, suffix="T")


def _slimmer(series: Series, can: tuple[float, float]) -> tuple[float, float] | None:
    """Return a slimmer, taller can of about the same volume: right in all but height."""
    volume = can[0] ** 2 * can[1]
    fitting = [c for c in series.cans if c[0] < can[0] and c[0] ** 2 * c[1] > 0.8 * volume]
    return min(fitting, key=lambda c: c[1], default=None)


def _row(
    series: Series, uf: float, volts: float, diameter: float, length: float, chance: random.Random, suffix: str = ""
) -> Row:
    loss, hot = _loss(volts, uf, series), series.category[1] >= 105
    low = loss / (2 * math.pi * 120 * uf * 1e-6)
    high = max(low * series.share, 0.004)
    volume = math.pi / 4 * diameter**2 * length / 1000
    spacing = _spacing(series, diameter)
    if spacing is not None and series.mounting == "radial" and diameter in (8, 10) and chance.random() < 0.1:
        spacing, suffix = (2.5 if diameter == 8 else 7.5), suffix + "F"  # leads formed for tape
    ripple = 0.45 if chance.random() < 0.03 else 1.0  # an old process: low ripple in the same can
    packs = chance.choice(((1, 1), (1, 1), (1, 1), (5, 5), (10, 10), (100, 100), (1, 1)))
    hours = series.hours[0 if diameter <= 6.3 else 1 if diameter <= 10 else 2]
    switching = series.share < 0.3
    return Row(
        series=series,
        number=f"{series.name}{uf * 10:07.0f}{int(volts * 10):04d}{int(diameter * 10):03d}{suffix}",
        uf=uf,
        volts=volts,
        diameter=_gap(diameter, chance, 0.005),
        length=_gap(length, chance, 0.01),
        spacing=_gap(spacing, chance, 0.02),
        lead=_gap(_lead(series, diameter), chance, 0.3),
        hours=hours if chance.random() > 0.02 else None,
        ripple_low=_gap(_two_figures(ripple * _ripple(low, diameter, length, hot)), chance, 0.4 if switching else 0.04),
        ripple_high=_gap(
            _two_figures(ripple * _ripple(high, diameter, length, hot)), chance, 0.03 if switching else 0.7
        ),
        esr_high=_gap(_two_figures(high), chance, 0.05 if switching else 0.7),
        loss=_gap(loss, chance, 0.08),
        breaks=_price(volume, series, chance),
        minimum=packs[0],
        multiple=packs[1],
        stock=0 if chance.random() < 0.1 else round(10 ** chance.uniform(0.7, 4.3)),
        status=chance.choice(("obsolete", "not for new designs")) if chance.random() < 0.07 else "active",
        category=series.category if chance.random() > 0.01 else None,
    )  # fmt: skip


FILM = Series("Brindle", "MX", "radial", "film", [], (), 0, 0, 0, (-40, 105), (), 1.0, "Halden", "±10%")


def films() -> Iterator[Row]:
    """Yield film parts: plain ones, and mains classes with their AC rating."""
    chance = random.Random("invented film")
    for safety, ac, volts in (("", None, 63), ("", None, 100), ("", None, 250), ("", None, 400), ("", None, 630),
                              ("X2", 275, None), ("X1", 440, None), ("Y2", 300, None), ("Y1", 500, None)):  # fmt: skip
        for uf in (1e-3, 2.2e-3, 4.7e-3, 10e-3, 22e-3, 47e-3, 0.1, 0.22, 0.47, 1.0, 2.2, 4.7, 10.0):
            strength = volts or 4.0 * (ac or 0)
            volume = 0.12 + uf * (strength / 100) ** 1.3 * 0.35
            spacing = next(
                p
                for p, most in ((5, 0.4), (7.5, 0.7), (10, 1.3), (15, 4), (22.5, 10), (27.5, 25), (37.5, 1e9))
                if volume < most
            )
            if volume > 30 or (safety.startswith("Y") and uf > 0.05):
                continue
            height = round(max((volume * 1000 / (spacing + 3) * 1.5) ** 0.5, 6.5), 1)
            yield Row(
                series=FILM, number=f"M{safety or 'X'}{uf * 1e4:06.0f}{int(strength):04d}", uf=uf, volts=volts or 0,
                diameter=round(height / 1.5, 1), length=height, spacing=spacing, lead=0.6 if spacing < 15 else 0.8,
                hours=None, ripple_low=None, ripple_high=None, esr_high=None, loss=None,
                breaks=_price(volume, FILM, chance), minimum=1, multiple=1, stock=round(10 ** chance.uniform(1, 4)),
                status="active", category=(-40, 105), ac=ac, safety=safety,
            )  # fmt: skip


BEAD = Series("Brindle", "TB", "radial", "solid tantalum", [], (), 0, 0, 0, (-55, 125), (), 2.5, "Halden")
CHIP = Series("Vessmark", "TC", "chip", "solid tantalum", [], (), 0, 0, 0, (-55, 125), (), 2.0, "Halden")


def tantalums() -> Iterator[Row]:
    """Yield solid tantalum beads and chips; their makers state no endurance."""
    chance = random.Random("invented tantalum")
    for series in (BEAD, CHIP):
        for uf in (0.1, 0.22, 0.47, 1, 2.2, 3.3, 4.7, 6.8, 10, 15, 22, 33, 47, 68, 100, 150, 220, 330):
            for volts in (6.3, 10, 16, 25, 35, 50):
                volume = uf * volts / 4000  # cm3: slug, lead frame and resin for each µC
                if volume > 0.7 or uf * volts < 5:
                    continue
                diameter, bead = round(max(4.5, (volume * 1900) ** (1 / 3)), 1), series is BEAD
                yield Row(
                    series=series, number=f"{series.name}{uf * 10:06.0f}{int(volts * 10):03d}", uf=uf, volts=volts,
                    diameter=diameter if bead else None, length=round(diameter * 1.6, 1) if bead else None,
                    spacing=(2.5 if diameter < 6 else 5.0) if bead else None, lead=0.5 if bead else None,
                    hours=None, ripple_low=None, ripple_high=None, esr_high=_two_figures(2.5 / uf**0.5), loss=0.06,
                    breaks=_price(volume * 8, series, chance), minimum=1, multiple=1,
                    stock=round(10 ** chance.uniform(0.3, 3.5)), status="active", category=(-55, 125),
                )  # fmt: skip
