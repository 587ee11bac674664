"""What was computed and must be kept."""

from .club import ClubFigures
from .doubts import Doubt, LookedAt, ScannedMatch
from .measured import MeasuredSet
from .played import PackedMatch
from .predictions import FollowedMatch, FollowedSession, Prediction, PredictionDesk
from .spreads import SpreadFit

__all__ = [
    "ClubFigures",
    "Doubt",
    "FollowedMatch",
    "FollowedSession",
    "LookedAt",
    "MeasuredSet",
    "PackedMatch",
    "Prediction",
    "PredictionDesk",
    "ScannedMatch",
    "SpreadFit",
]
