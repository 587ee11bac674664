"""R. G. Newcombe, Statistics in Medicine 17 (1998) 873-890, table II, method 10, contrast (a); from memory."""

from __future__ import annotations

import pytest

from analytics.reports.one_family import change
from analytics.reports.rates import rate


def test_the_difference_of_two_rates_has_newcombes_interval():
    found = change(rate(48, 80, 0.95), rate(56, 70, 0.95))
    assert found.difference == pytest.approx(0.2)
    assert (found.interval.low, found.interval.high) == pytest.approx((0.0524, 0.3339), abs=5e-5)
