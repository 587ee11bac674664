"""Figures worked out once, kept in the process under what they were worked out from.

The key is a digest of all that goes in, so that nothing stale is ever told: another stroke is
another key. What is kept is shared by requests and never changed.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Callable
from typing import TypeVar

import numpy as np
import pandas as pd

from analytics.reports.played import Played

# Four figures a report; of a hundred thousand strokes they take some megabytes.
MOST = 48
T = TypeVar("T")

_kept: OrderedDict[tuple[object, ...], object] = OrderedDict()
_lock = threading.Lock()


def digest(played: Played) -> bytes:
    """Return what tells this apart from everything else that was played."""
    found = hashlib.blake2b(digest_size=16)
    frame = pd.util.hash_pandas_object(played.matches).to_numpy()
    for part in (frame, played.strokes, played.of):
        found.update(str(len(part)).encode() + b" ")
        found.update(np.ascontiguousarray(part).view(np.uint8).data)
    return found.digest()


def once(key: tuple[object, ...], work: Callable[[], T]) -> T:
    """Return what is kept under a key; else what `work` returns, which is kept in place of the longest unasked."""
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]  # type: ignore[return-value]
    found = work()
    with _lock:
        _kept[key] = found
        while len(_kept) > MOST:
            _kept.popitem(last=False)
    return found


def forget() -> None:
    """Keep nothing, as after a start."""
    with _lock:
        _kept.clear()
