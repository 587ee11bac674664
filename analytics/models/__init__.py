"""What was computed and must be kept."""

from .measured import MeasuredSet
from .predictions import FollowedMatch, Prediction, PredictionDesk

__all__ = ["FollowedMatch", "MeasuredSet", "Prediction", "PredictionDesk"]
