"""What a database and a JSON answer can hold."""

from __future__ import annotations

import re

_UNFIT = re.compile("[\x00\ud800-\udfff]")


def fit_to_store(value: object) -> bool:
    """Whether every text in a JSON value can be stored: no NUL, no half of a surrogate pair."""
    if isinstance(value, str):
        return _UNFIT.search(value) is None
    if isinstance(value, dict):
        return all(fit_to_store(name) and fit_to_store(part) for name, part in value.items())
    if isinstance(value, list):
        return all(fit_to_store(part) for part in value)
    return True
