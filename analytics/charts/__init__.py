"""Charts in the house's look, from plain numbers. This is the one door: a topic a module behind it."""

from .averages import AverageRow, averages_compared, averages_of_players, averages_together, moving_average
from .belief import ScoreRow, TenthRow, promised_by_tenths, score_parts
from .between import DistanceRow, StrengthRow, distances_compared, strengths
from .chances import chance_by_distance, win_probability
from .chart import Chart, Column, Cut, Num, chart_csv, told
from .families import FamilyRow, GainRow, PracticeRow, families, points_gained, practice_gain
from .lengths import match_lengths
from .misses import WayRow, ways_to_miss
from .pupils import PupilRow, pupils_lately
from .rates import RateRow, rates_compared
from .runs import lead, run_histogram, run_strip, run_tail
from .season import matches_a_week
from .trust import Block, reliability, spread_through_time

__all__ = [
    "AverageRow",
    "Block",
    "Chart",
    "Column",
    "Cut",
    "DistanceRow",
    "FamilyRow",
    "GainRow",
    "Num",
    "PracticeRow",
    "PupilRow",
    "RateRow",
    "ScoreRow",
    "StrengthRow",
    "TenthRow",
    "WayRow",
    "averages_compared",
    "averages_of_players",
    "averages_together",
    "chance_by_distance",
    "chart_csv",
    "distances_compared",
    "families",
    "lead",
    "match_lengths",
    "matches_a_week",
    "moving_average",
    "points_gained",
    "practice_gain",
    "promised_by_tenths",
    "pupils_lately",
    "rates_compared",
    "reliability",
    "run_histogram",
    "run_strip",
    "run_tail",
    "score_parts",
    "spread_through_time",
    "strengths",
    "told",
    "ways_to_miss",
    "win_probability",
]
