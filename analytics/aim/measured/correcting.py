"""A table's correction of the corner system: book number beside own-table number."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from math import sqrt
from typing import Any

# Fewer tracks than this correct nothing; a slope needs one more.
LEAST_TRACKS = 3
# The correction is used this far beyond the arrivals that were measured [diamonds].
BEYOND = 0.5
CONFIDENCE = 0.90


@dataclass(frozen=True)
class TrackNumber:
    """A track of the corner system: what the book says, and where the ball came."""

    code: str
    origin: float
    aim: float
    book: float
    own: float


@dataclass(frozen=True)
class Correction:
    """By how much the arrivals of a table differ from the book's [diamonds].

    own arrival = book + offset + slope (book - centre). offset_low, offset_high : interval of
    the offset. slope_low, slope_high : of the slope; where it holds nought, or where there are
    too few tracks, slope is 0: the tracks do not support one. low, high : the book's
    arrivals that were measured. scatter : of the tracks about the correction. spread : of book
    arrivals, their sum of squares about the centre, 0 without a slope. quantile : of t, times
    `scatter` the half-width of an interval in units of its own.
    """

    tracks: tuple[TrackNumber, ...]
    centre: float
    offset: float
    offset_low: float
    offset_high: float
    slope: float
    slope_low: float | None
    slope_high: float | None
    low: float
    high: float
    scatter: float
    spread: float
    quantile: float

    def arrival(self, book: float) -> tuple[float, float, float] | None:
        """Return where the ball comes for a book arrival, and its interval; None beyond the measured."""
        if not self.low - BEYOND - 1e-9 <= book <= self.high + BEYOND + 1e-9:
            return None
        own = book + self.offset + self.slope * (book - self.centre)
        share = 1 / len(self.tracks)
        if self.slope and self.spread:
            share += (book - self.centre) ** 2 / self.spread
        half = self.quantile * self.scatter * sqrt(share)
        return own, own - half, own + half

    def book_for(self, own: float) -> float | None:
        """Return the book arrival to play for an own one; None beyond what was measured."""
        book = (own - self.offset + self.slope * self.centre) / (1 + self.slope)
        return None if self.arrival(book) is None else book

    def to_json(self) -> dict[str, Any]:
        """Return it as JSON values."""
        return asdict(self)


def correction_from(data: Mapping[str, Any]) -> Correction:
    """Return the correction that `to_json` wrote."""
    tracks = tuple(TrackNumber(**one) for one in data["tracks"])
    return Correction(**{**data, "tracks": tracks})


def correction_of(tracks: Sequence[TrackNumber]) -> Correction | None:
    """Return what the tracks support: nothing, an offset, or an offset and a slope.

    Least squares; intervals of 90 % by Student's t from the scatter of the tracks themselves.
    A slope stays only where its interval does not hold nought.
    """
    n = len(tracks)
    if n < LEAST_TRACKS:
        return None
    books = [one.book for one in tracks]
    off = [one.own - one.book for one in tracks]
    centre, offset = sum(books) / n, sum(off) / n
    spread = sum((book - centre) ** 2 for book in books)
    slope = slope_low = slope_high = None
    left = [value - offset for value in off]
    if n > LEAST_TRACKS and spread > 1.0:
        slope = sum((book - centre) * value for book, value in zip(books, off, strict=True)) / spread
        about = [value - slope * (book - centre) for book, value in zip(books, left, strict=True)]
        half = _quantile(n - 2) * _scatter(about, n - 2) / sqrt(spread)
        slope_low, slope_high = slope - half, slope + half
        # A table that turned the order of arrivals round was not measured with care.
        if slope_low <= 0 <= slope_high or slope <= -0.5:
            slope = None
        else:
            left = about
    free = n - (1 if slope is None else 2)
    scatter, quantile = _scatter(left, free), _quantile(free)
    half = quantile * scatter / sqrt(n)
    return Correction(
        tracks=tuple(tracks),
        centre=centre,
        offset=offset,
        offset_low=offset - half,
        offset_high=offset + half,
        slope=slope or 0.0,
        slope_low=slope_low,
        slope_high=slope_high,
        low=min(books),
        high=max(books),
        scatter=scatter,
        spread=spread,
        quantile=quantile,
    )


def _scatter(left: Sequence[float], free: int) -> float:
    # Readings are no finer than a twentieth of a diamond, however well they agree.
    return max(sqrt(sum(value * value for value in left) / free), 0.03)


def _quantile(free: int) -> float:
    from scipy.stats import t

    return float(t.ppf((1 + CONFIDENCE) / 2, free))
