"""What was computed and must be kept."""

from .predictions import FollowedMatch, Prediction, PredictionDesk

__all__ = ["FollowedMatch", "Prediction", "PredictionDesk"]
