"""Parts in columns: numbers as arrays with NaN for what is not known, words as codes; a row becomes a Part on demand.

A shelf holds the parts of one file, a catalogue several shelves as if they were one. Rows count from 0 through all
of them. Columns of a cached shelf stay on the disk until somebody looks at them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from recap.intake.cells import Sheet
from recap.model import Part, PriceBreak
from recap.problems import Location

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

NUMBERS = (
    "capacitance_f", "tolerance_low", "tolerance_high", "rated_voltage_v", "ac_voltage_v", "bipolar",
    "lower_category_temperature_c", "upper_category_temperature_c", "endurance_h", "endurance_temperature_c",
    "ripple_low_a", "ripple_low_hz", "ripple_high_a", "ripple_high_hz",
    "esr_low_ohm", "esr_low_hz", "esr_high_ohm", "esr_high_hz", "dissipation_factor", "leakage_a",
    "diameter_mm", "length_mm", "lead_spacing_mm", "lead_diameter_mm",
    "package_quantity", "minimum_quantity", "multiple", "stock", "measured_capacitance_f", "weight_g",
)  # fmt: skip
WHOLE = ("package_quantity", "minimum_quantity", "multiple", "stock")
WORDS = (
    "maker", "series", "kind", "mounting", "safety_class", "endurance_basis",
    "seller", "currency", "date_code", "status",
)  # fmt: skip
TEXTS = ("mpn", "order_code", "link", "text")


@dataclass(frozen=True, slots=True)
class Words:
    """A column of words: for each row the place of its word in `names`, -1 where it is not known."""

    codes: NDArray[np.int32]
    names: tuple[str, ...]

    def at(self, row: int) -> str:
        """Return the word of a row, empty where it is not known."""
        code = int(self.codes[row])
        return self.names[code] if code >= 0 else ""

    def take(self, rows: Rows) -> Words:
        """Return the words of some rows."""
        return Words(self.codes[rows], self.names)

    def among(self, allowed: Iterable[str]) -> NDArray[np.bool_]:
        """Return where the word is one of those allowed; an unknown one never is."""
        wanted = frozenset(allowed)
        return self.mapped(lambda name: name in wanted, False)

    def mapped(self, function: Callable[[str], Any], unknown: Any) -> NDArray[Any]:
        """Return a function's value for each row, worked out once for each word."""
        return np.array([*(function(name) for name in self.names), unknown])[self.codes]


class Columns(Protocol):
    """What formulas and checks read parts from: a catalogue, some rows of it, or a single part."""

    def __len__(self) -> int: ...

    def number(self, name: str) -> Floats:
        """Return a column of numbers, NaN where one is not known."""
        ...

    def word(self, name: str) -> Words:
        """Return a column of words."""
        ...


@dataclass(frozen=True)
class Shelf:
    """The parts of one file; a column that is not there is known for none of them.

    The price breaks of row i are the entries from break_starts[i] up to break_starts[i + 1].
    """

    file: str
    sheet: str
    size: int
    numbers: Mapping[str, Floats]
    words: Mapping[str, Words]
    texts: Mapping[str, Any]
    """Lists, or Arrow arrays, of texts that are not looked into."""
    file_rows: Rows
    """Row numbers in the file, counted from 1."""
    break_starts: Rows
    break_quantities: Floats
    break_prices: Floats
    drawer: bool = False


@dataclass
class Catalogue:
    """All the parts at hand, whatever file they came from."""

    shelves: tuple[Shelf, ...]
    _numbers: dict[str, Floats] = field(default_factory=dict, repr=False)
    _words: dict[str, Words] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, parts: Iterable[Part]) -> Catalogue:
        """Return parts in columns."""
        return cls((shelf_of(list(parts)),))

    @cached_property
    def starts(self) -> Rows:
        """The first row of each shelf, and the number of all rows."""
        return np.cumsum([0, *(shelf.size for shelf in self.shelves)])

    def __len__(self) -> int:
        return int(self.starts[-1])

    def number(self, name: str) -> Floats:
        """Return a column of numbers over all shelves, NaN where one is not known."""
        if name not in self._numbers:
            pieces = [_or_unknown(shelf.numbers.get(name), shelf.size) for shelf in self.shelves]
            self._numbers[name] = pieces[0] if len(pieces) == 1 else np.concatenate([np.empty(0), *pieces])
        return self._numbers[name]

    def word(self, name: str) -> Words:
        """Return a column of words over all shelves, in one vocabulary."""
        if name not in self._words:
            self._words[name] = _joined([shelf.words.get(name, _no_words(shelf.size)) for shelf in self.shelves])
        return self._words[name]

    def text(self, name: str, row: int) -> str:
        """Return a text of one row."""
        shelf, inside = self.place(row)
        return _text(shelf, name, inside)

    def place(self, row: int) -> tuple[Shelf, int]:
        """Return the shelf of a row and its row there."""
        index = int(np.searchsorted(self.starts, row, side="right")) - 1
        return self.shelves[index], row - int(self.starts[index])

    @cached_property
    def drawer(self) -> NDArray[np.bool_]:
        """Where a part is the user's own."""
        return np.repeat([shelf.drawer for shelf in self.shelves], [shelf.size for shelf in self.shelves])

    @cached_property
    def by_capacitance(self) -> Rows:
        """The rows by rising capacitance; those without one come last."""
        return np.argsort(self.number("capacitance_f"), kind="stable")

    @cached_property
    def sorted_capacitance(self) -> Floats:
        """The capacitances in the order of `by_capacitance`."""
        return self.number("capacitance_f")[self.by_capacitance]

    def breaks(self, row: int) -> tuple[PriceBreak, ...]:
        """Return the price breaks of a row, by rising quantity."""
        return _breaks(*self.place(row))

    def part(self, row: int) -> Part:
        """Return one row as a part."""
        shelf, inside = self.place(row)
        return part_of(shelf, inside)

    def parts(self) -> Iterator[Part]:
        """Yield every row as a part."""
        for shelf in self.shelves:
            for inside in range(shelf.size):
                yield part_of(shelf, inside)

    def find(self, name: str) -> Rows:
        """Return the rows whose maker's number or order code is this, whatever the case."""
        import pyarrow as pa
        import pyarrow.compute as pc

        wanted = name.strip().lower()
        found = []
        for start, shelf in zip(self.starts, self.shelves, strict=False):
            here = np.zeros(shelf.size, bool)
            for column in (shelf.texts.get("mpn"), shelf.texts.get("order_code")):
                if column is not None:
                    same = pc.equal(pc.utf8_lower(pa.array(column, pa.string())), wanted)
                    here |= same.fill_null(False).to_numpy(zero_copy_only=False)
            found.append(np.nonzero(here)[0] + start)
        return np.concatenate([np.empty(0, np.int64), *found])

    def rows(self, rows: Rows) -> Selection:
        """Return some rows as columns of their own."""
        return Selection(self, rows)


@dataclass
class Selection:
    """Some rows of a catalogue; a column is cut out when it is first looked at."""

    catalogue: Catalogue
    chosen: Rows
    _numbers: dict[str, Floats] = field(default_factory=dict, repr=False)

    def __len__(self) -> int:
        return len(self.chosen)

    def number(self, name: str) -> Floats:
        """Return a column of numbers."""
        if name not in self._numbers:
            self._numbers[name] = self.catalogue.number(name)[self.chosen]
        return self._numbers[name]

    def word(self, name: str) -> Words:
        """Return a column of words."""
        return self.catalogue.word(name).take(self.chosen)

    def kept(self, which: NDArray[np.bool_]) -> Selection:
        """Return only the rows where the mask holds."""
        return Selection(self.catalogue, self.chosen[which])


def shelf_of(parts: Sequence[Part]) -> Shelf:
    """Return parts in columns, as if they had been read from a file."""
    size = len(parts)
    numbers = {name: np.array([_number(part, name) for part in parts], float) for name in NUMBERS}
    words = {name: words_of([str(getattr(part, name) or "") for part in parts]) for name in WORDS}
    texts = {name: [getattr(part, name) for part in parts] for name in TEXTS}
    breaks = [part.price_breaks for part in parts]
    return Shelf(
        file=parts[0].location.file if parts else "",
        sheet=parts[0].location.sheet if parts else "",
        size=size,
        numbers={name: values for name, values in numbers.items() if not np.isnan(values).all()},
        words=words,
        texts=texts,
        file_rows=np.arange(1, size + 1),
        break_starts=np.cumsum([0, *(len(items) for items in breaks)]),
        break_quantities=np.array([item.quantity for items in breaks for item in items], float),
        break_prices=np.array([item.unit_price for items in breaks for item in items], float),
        drawer=bool(parts) and all(part.from_drawer for part in parts),
    )


def part_of(shelf: Shelf, inside: int) -> Part:
    """Return one row of a shelf as a part."""
    known: dict[str, Any] = {}
    for name, values in shelf.numbers.items():
        value = float(values[inside])
        if not np.isnan(value):
            known[name] = int(value) if name in WHOLE else value
    for base, unit in (("ripple", "a"), ("esr", "ohm")):
        for end in ("low", "high"):
            if f"{base}_{end}_{unit}" not in known:  # a column's frequency says nothing for its empty cells
                known.pop(f"{base}_{end}_hz", None)
    low, high = known.pop("tolerance_low", None), known.pop("tolerance_high", None)
    if "bipolar" in known:
        known["bipolar"] = known["bipolar"] > 0
    words: dict[str, Any] = {name: words.at(inside) for name, words in shelf.words.items()}
    texts: dict[str, Any] = {name: _text(shelf, name, inside) for name in TEXTS}
    kind, mounting = words.pop("kind", ""), words.pop("mounting", "")
    row = int(shelf.file_rows[inside])
    return Part(
        **known,
        **words,
        **texts,
        kind=kind or None,
        mounting=mounting or None,
        tolerance=None if low is None or high is None else (low, high),
        price_breaks=_breaks(shelf, inside),
        from_drawer=shelf.drawer,
        location=Sheet(shelf.file, shelf.sheet, []).location(row - 1) if shelf.file else Location(),
    )


def words_of(texts: Sequence[str]) -> Words:
    """Return texts as codes into the distinct ones; an empty text is not known."""
    names = tuple(dict.fromkeys(text for text in texts if text))
    place = {name: index for index, name in enumerate(names)}
    return Words(np.array([place.get(text, -1) for text in texts], np.int32), names)


def _number(part: Part, name: str) -> float:
    if name.startswith("tolerance_"):
        value: Any = None if part.tolerance is None else part.tolerance[name == "tolerance_high"]
    else:
        value = getattr(part, name)
    return np.nan if value is None else float(value)


def _text(shelf: Shelf, name: str, inside: int) -> str:
    column = shelf.texts.get(name)
    if column is None:
        return ""
    value = column[inside]
    return str((value if isinstance(value, str) else value.as_py()) or "")


def _breaks(shelf: Shelf, inside: int) -> tuple[PriceBreak, ...]:
    entries = range(int(shelf.break_starts[inside]), int(shelf.break_starts[inside + 1]))
    return tuple(PriceBreak(int(shelf.break_quantities[i]), float(shelf.break_prices[i])) for i in entries)


def _or_unknown(values: Floats | None, size: int) -> Floats:
    return np.broadcast_to(np.nan, size) if values is None else values


def _no_words(size: int) -> Words:
    return Words(np.broadcast_to(np.int32(-1), size), ())


def _joined(pieces: Sequence[Words]) -> Words:
    if len(pieces) == 1:
        return pieces[0]
    names = tuple(dict.fromkeys(name for piece in pieces for name in piece.names))
    place = {name: index for index, name in enumerate(names)}
    codes = [np.array([*(place[name] for name in piece.names), -1], np.int32)[piece.codes] for piece in pieces]
    return Words(np.concatenate([np.empty(0, np.int32), *codes]), names)
