"""Rulings a second, on one core."""

from __future__ import annotations

import random
import statistics
import time

from scoring.rules.contacts import BALLS, RAILS, parse_contacts
from scoring.rules.disciplines import DISCIPLINES
from scoring.rules.rulesets import RULE_SETS
from scoring.rules.rulings import rule

STROKES, ROUNDS = 2000, 15


def strokes() -> list:
    """Return contact sequences of 2 to 8 contacts, as described at a table."""
    dice = random.Random(7)
    others = [ball for ball in BALLS if ball != "white"]
    return [
        parse_contacts(
            [
                {"rail": dice.choice(RAILS)} if dice.random() < 0.65 else {"ball": dice.choice(others)}
                for _ in range(dice.randint(2, 8))
            ],
            cue_ball="white",
        )
        for _ in range(STROKES)
    ]


def main() -> None:
    game, rules, described = DISCIPLINES["three-cushion"], RULE_SETS["world"], strokes()
    rates = []
    for _ in range(ROUNDS):
        begun = time.perf_counter()
        for contacts in described:
            rule(game, "white", contacts, rule_set=rules)
        rates.append(STROKES / (time.perf_counter() - begun))
    print(f"{statistics.median(rates):,.0f} rulings a second (median of {ROUNDS} rounds).")


if __name__ == "__main__":
    main()
