"""Writes the invented parts catalogues of examples/: python -m tests.make_catalogue

Three sellers that do not exist, each with another layout, and a drawer; the parts are those of invented_parts.py.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

from tests.invented_parts import films, rows, tantalums

EXAMPLES = Path(__file__).parent.parent / "examples"


def _text(value: float | None, unit: str = "", scale: float = 1.0) -> str:
    return "" if value is None else f"{value * scale:.12g}{unit}"


def kestrel() -> str:
    """Return the catalogue of a seller with units in the headings and a column a price break."""
    lines: list[list[str]] = [
        ["Order code", "Manufacturer", "Mfr part number", "Series", "Technology", "Mounting", "Capacitance µF",
         "Tolerance",
         "Voltage V", "Temp min °C", "Temp max °C", "Life h", "Ripple mA 120Hz", "Ripple mA 100kHz", "ESR mΩ 100kHz",
         "tan δ", "Diameter mm", "Length mm", "Lead spacing mm", "Lead dia mm", "MOQ", "Multiple", "Price 1",
         "Price 10",
         "Price 100", "Price 1000", "Currency", "Stock", "Status", "Seller"]
    ]  # fmt: skip
    for number, row in enumerate((row for row in rows() if row.series.seller == "Kestrel"), 1):
        prices = dict(row.breaks)
        low, high = row.category or (None, None)
        lines.append(
            [f"KP{number:05d}", f"{row.series.maker} (invented)", row.number, row.series.name, row.series.kind,
             row.series.mounting, _text(row.uf), row.series.tolerance, _text(row.volts), _text(low), _text(high),
             _text(row.hours), _text(row.ripple_low, scale=1000), _text(row.ripple_high, scale=1000),
             _text(row.esr_high, scale=1000), _text(row.loss), _text(row.diameter), _text(row.length),
             _text(row.spacing), _text(row.lead), str(row.minimum), str(row.multiple),
             *(_text(prices.get(quantity)) for quantity in (1, 10, 100, 1000)), "EUR", _text(row.stock), row.status,
             "Kestrel (invented)"]
        )  # fmt: skip
    return _csv(lines, ",")


def halden() -> str:
    """Return the catalogue of a seller with units in the cells, decimal commas and all prices in one cell."""
    lines: list[list[str]] = [
        ["Article no", "Brand", "Type number", "Technology", "Style", "Polarity", "Value", "Tol", "Rated voltage",
         "Safety class", "Operating temperature", "Lifetime @ temp", "Ripple current", "Impedance", "Loss", "D x L",
         "Pitch", "Min order", "Pack", "Unit price", "Stock", "Life cycle", "Supplier"]
    ]  # fmt: skip
    for number, row in enumerate(
        [*(row for row in rows() if row.series.seller == "Halden"), *films(), *tantalums()], 1
    ):
        low, high = row.category or (None, None)
        bipolar = row.series.kind in ("non-polar aluminium", "film")
        volts = f"{row.ac} V AC" if row.ac else f"{row.volts:g} V"
        size = "" if row.diameter is None or row.length is None else f"{row.diameter:g} x {row.length:g} mm"
        if row.ripple_high is not None:
            ripple = f"{row.ripple_high:g} A @ 100 kHz"
        else:
            ripple = "" if row.ripple_low is None else f"{row.ripple_low * 1000:g} mA @ 120 Hz"
        value = f"{row.uf:g} µF" if row.uf >= 0.1 else f"{row.uf * 1000:g} nF"
        fields = [
            f"{70000 + number}", f"{row.series.maker} (invented)", row.number, row.series.kind, row.series.mounting,
            "bipolar" if bipolar else "polar", value, row.series.tolerance, volts, row.safety,
            "" if low is None else f"{low} to +{high} °C",
            "" if row.hours is None else f"{row.hours} h @ {high or 105} °C",
            ripple, "" if row.esr_high is None else f"{row.esr_high * 1000:g} mΩ @ 100 kHz", _text(row.loss), size,
            _text(row.spacing, " mm"), str(row.minimum), str(row.multiple),
            "; ".join(f"{quantity}: € {price:.3f}" for quantity, price in row.breaks),
            "out of stock" if row.stock == 0 else f"{row.stock}", row.status, "Halden (invented)",
        ]  # fmt: skip
        commas = {6, 8, 12, 13, 14, 15, 16, 19}
        lines.append([text.replace(".", ",") if index in commas else text for index, text in enumerate(fields)])
    return _csv(lines, ";")


def marrow() -> str:
    """Return the catalogue of a seller with one row a price break, and prices in another currency."""
    lines: list[list[str]] = [
        ["SKU", "Brand", "MPN", "Kind", "Mounting", "Cap (uF)", "Tol", "WV (VDC)", "Temp range", "Endurance (h)",
         "Ripple current", "Ripple frequency", "Z (Ω) 100kHz", "tan δ", "Dia (mm)", "Height (mm)", "Pitch (mm)",
         "Lead dia (mm)", "Price break", "Unit price (GBP)", "In stock", "Seller"]
    ]  # fmt: skip
    for number, row in enumerate((row for row in rows() if row.series.seller == "Marrow"), 1):
        low, high = row.category or (None, None)
        hz, ripple = (100000, row.ripple_high) if row.ripple_high is not None else (120, row.ripple_low)
        for quantity, price in row.breaks:
            lines.append(
                [f"M-{number:04d}", f"{row.series.maker} (invented)", row.number, row.series.kind, row.series.mounting,
                 _text(row.uf), row.series.tolerance, _text(row.volts), "" if low is None else f"{low}/+{high}",
                 _text(row.hours), _text(ripple, " A"), "" if ripple is None else str(hz), _text(row.esr_high),
                 _text(row.loss), _text(row.diameter), _text(row.length), _text(row.spacing), _text(row.lead),
                 str(quantity), f"{price * 0.86:.3f}", _text(row.stock), "Marrow (invented)"]
            )  # fmt: skip
    return _csv(lines, "\t")


_COLD = "-40..105C"
_DRAWER = (
    ("1000uF 16V 105C 10x20 P5 3000h radial alu", "Tarnwick", "2418", "14", "", ""),
    (f"470uF 25V 10x16 P5 5000h alu 1.2A@100kHz 45mohm@100kHz tan δ 0.12 {_COLD}", "Ostarra", "2503", "20", "", ""),
    (f"100uF 25V 6.3x11 P2.5 2000h radial alu 200mA@120Hz tan δ 0.14 {_COLD}", "Tarnwick", "2440", "45", "", ""),
    (f"47uF 35V 6.3x11 P2.5 2000h radial alu tan δ 0.12 {_COLD}", "Tarnwick", "2440", "30", "", ""),
    (f"10uF 63V 5x11 P2 2000h radial alu tan δ 0.09 {_COLD}", "Tarnwick", "2440", "60", "", ""),
    ("22uF 50V 85C 5x11 P2 2000h radial alu", "Quillon", "1912", "25", "", ""),
    ("2200uF 35V 85C 16x36 axial alu 2000h", "Brindle", "8931", "3", "1910", "11"),
    ("6800uF 50V 105C 18x35 P7.5 2000h radial alu", "Quillon", "1605", "4", "2180", "6.5"),
    ("10uF 50V bipolar 5x11 P2 2000h 105C", "Brindle", "2311", "12", "", ""),
    ("0.1uF X2 275V~ film P15", "Brindle", "2236", "9", "", ""),
    ("220uF 16V polymer radial 8x11.5 P3.5 2000h 105C 4A@100kHz 12mohm@100kHz", "Vessmark", "2402", "10", "", ""),
)  # fmt: skip
"""What lies there: description, maker, date code, pieces, and what was measured; one of them lies."""


def drawer() -> str:
    """Return a small list of what lies in somebody's drawer: stock, no prices, some old, one that lies."""
    lines = [["Description", "Brand", "Date code", "Qty", "Measured µF", "Weight g"]]
    for text, maker, date, pieces, measured, weight in _DRAWER:
        lines.append([text, f"{maker} (invented)", date, pieces, measured, weight])
    return _csv(lines, ",")


def _csv(lines: list[list[str]], separator: str) -> str:
    stream = io.StringIO()
    csv.writer(stream, delimiter=separator, lineterminator="\n").writerows(lines)
    return stream.getvalue()


FILES = {"parts-kestrel.csv": kestrel, "parts-halden.csv": halden, "parts-marrow.tsv": marrow, "drawer.csv": drawer}


def main() -> None:
    """Write the files."""
    for name, make in FILES.items():
        text = make()
        (EXAMPLES / name).write_text(text, encoding="utf-8")
        print(f"{name}: {text.count(chr(10)) - 1} parts, {len(text.encode()) / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
