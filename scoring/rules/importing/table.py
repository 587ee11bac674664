"""A file of columns: its encoding, its separator, its heads and rows."""

from __future__ import annotations

import csv
import hashlib
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass

from scoring.rules.said import Malformed, said

ENCODINGS = ("utf-8", "cp1252")
SEPARATORS = (";", ",", "\t")
# More is refused at the door: a club's whole history fits many times.
MOST_BYTES = 4_000_000
MOST_ROWS = 20_000
MOST_COLUMNS = 60
MOST_SIGNS = 2_000
# What no head says: a day, or a number of two signs and more.
_VALUE = re.compile(r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}|\d{2,}")


@dataclass(frozen=True)
class Row:
    """A row of a file: the number of its line as a person counts, heads being line 1, and its cells."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """What a file holds. rows: without empty ones, each as long as the heads or longer."""

    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    separator: str
    encoding: str
    headless: bool = False


def digest(data: bytes) -> str:
    """Return by what a file is known when it comes again: its SHA-256."""
    return hashlib.sha256(data).hexdigest()


def decode(data: bytes, encoding: str | None = None) -> tuple[str, str]:
    """Return the text and its encoding; None: UTF-8 where it is, else Windows-1252.

    Raises Malformed (`file`).
    """
    if len(data) > MOST_BYTES:
        raise Malformed("file", said("The file is too large: split it, so that each holds 4 MB at most."))
    for name in (encoding,) if encoding in ENCODINGS else ENCODINGS:
        try:
            text = data.decode("utf-8-sig" if name == "utf-8" else name)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        return text, name
    raise Malformed("file", said("This is no text in UTF-8 or Windows-1252. Save it as CSV."))


def guess_separator(text: str) -> str:
    """Return the sign that parts the heads: the one that parts the first lines most evenly."""
    lines = [line for line in text.splitlines()[:20] if line.strip()]
    best, most = ";", (0, 0)
    for sign in SEPARATORS:
        counts = [len(row) for row in csv.reader(lines, delimiter=sign)]
        if counts and counts[0] > 1:
            # The heads decide how many columns there are; rows that agree speak for the sign.
            found = (sum(one == counts[0] for one in counts), counts[0])
            if found > most:
                best, most = sign, found
    return best


def read_table(
    text: str, separator: str | None = None, encoding: str = "utf-8", headless: bool | None = None
) -> Table:
    """Return the heads and rows of a text. Raises Malformed (`file`).

    headless: whether the first line is a row already; None: where a day or a number stands in it.
    """
    sign = separator if separator in SEPARATORS else guess_separator(text)
    rows: list[Row] = []
    heads: tuple[str, ...] | None = None
    try:
        reader = csv.reader(io.StringIO(text), delimiter=sign, strict=True)
        for cells in reader:
            trimmed = tuple(" ".join(cell.replace("\u00a0", " ").split()) for cell in cells)
            if not any(trimmed):
                continue
            if heads is None:
                bare = headless if headless is not None else any(_VALUE.fullmatch(one) for one in trimmed)
                heads = ("",) * len(trimmed) if bare else trimmed
                if not bare:
                    continue
            if len(rows) >= MOST_ROWS:
                raise Malformed("file", said("The file has too many rows: 20,000 at most."))
            rows.append(Row(reader.line_num, trimmed + ("",) * (len(heads) - len(trimmed))))
    except csv.Error as error:
        raise Malformed("file", said("A cell is not closed by its quotation mark.")) from error
    if not heads or not rows:
        raise Malformed("file", said("The file needs a line of heads and at least one row below it."))
    _check_sizes(heads, rows)
    return Table(heads, tuple(rows), sign, encoding, not any(heads))


def _check_sizes(heads: Sequence[str], rows: Sequence[Row]) -> None:
    if len(heads) > MOST_COLUMNS:
        raise Malformed("file", said("The file has too many columns: 60 at most."))
    if any(len(cell) > MOST_SIGNS for row in rows for cell in row.cells):
        raise Malformed("file", said("A cell holds more than 2,000 signs."))
