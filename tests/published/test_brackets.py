"""Orders of seeds in brackets of 4, 8 and 16 places."""

import pytest

from scoring.rules.brackets import bracket, round_pairs, seed_order

SEEDS = {
    4: [1, 4, 2, 3],
    8: [1, 8, 4, 5, 2, 7, 3, 6],
    16: [1, 16, 8, 9, 4, 13, 5, 12, 2, 15, 7, 10, 3, 14, 6, 11],
}


@pytest.mark.parametrize("size", SEEDS)
def test_standard_seeding_common_practice(size):
    """Printed so in many brackets; common practice, no source."""
    assert seed_order(size) == SEEDS[size]
    pairs = round_pairs(bracket(range(1, size + 1)))
    assert [seed for pair in pairs for seed in pair] == SEEDS[size]
