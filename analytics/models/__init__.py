"""What was computed and must be kept."""

from .club import ClubFigures
from .measured import MeasuredSet
from .played import PackedMatch
from .predictions import FollowedMatch, FollowedSession, Prediction, PredictionDesk
from .spreads import SpreadFit

__all__ = [
    "ClubFigures",
    "FollowedMatch",
    "FollowedSession",
    "MeasuredSet",
    "PackedMatch",
    "Prediction",
    "PredictionDesk",
    "SpreadFit",
]
