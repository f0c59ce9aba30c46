"""Descriptions such as "1000uF 16V 105C 10x20": what they say where a catalogue has no columns for it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import pyarrow as pa

from recap.parts.catalogue import NUMBERS, WORDS, Floats, Rows, shelf_of
from recap.parts.text import read_part_text


def read_descriptions(
    column: Any,
    size: int,
    fill: Callable[[str, Floats], None],
    fill_words: Callable[[str, Sequence[str], Rows], None],
) -> None:
    """Read each distinct description and fill in what it says."""
    encoded = (pa.array(column, pa.string()) if isinstance(column, list) else column).dictionary_encode()
    codes = encoded.indices.fill_null(-1).to_numpy(zero_copy_only=False)
    texts = encoded.dictionary.to_pylist()
    said = shelf_of([read_part_text(text)[0] for text in texts])
    for name in NUMBERS:
        if name in said.numbers:
            fill(name, np.append(said.numbers[name], np.nan)[codes])
    for name in WORDS:
        words = said.words[name]
        if words.names:
            fill_words(name, [words.at(index) for index in range(len(texts))], codes)
