"""What waits for its prediction: strokes of matches, then attempts at practice."""

from __future__ import annotations

from collections.abc import Sequence

from analytics.attempt_predictions import (
    AskedAttempt,
    asked_of_sessions,
    do_note_session_followed,
    predicted_attempt,
    sessions_behind,
)
from analytics.models import Prediction
from analytics.predictions import Asked, asked_of, do_note_followed, matches_behind
from analytics.predictions import predicted as predicted_stroke
from scoring.models import Match, PracticeSession

Behind = Match | PracticeSession


def any_behind() -> bool:
    """Tell whether a match or a session went on since it was looked at."""
    return matches_behind().exists() or sessions_behind().exists()


def behind(most: int | None = None) -> list[Behind]:
    """Return the matches and sessions that went on, at most so many."""
    matches: list[Behind] = list(matches_behind()[:most])
    rest = None if most is None else most - len(matches)
    return matches if rest == 0 else [*matches, *sessions_behind()[:rest]]


def wanted_of(ones: Sequence[Behind]) -> list[Asked | AskedAttempt]:
    """Return what is still wanted of matches and sessions; a few questions for them all."""
    matches = [one for one in ones if isinstance(one, Match)]
    strokes: list[Asked | AskedAttempt] = list(asked_of(matches)) if matches else []
    return strokes + list(asked_of_sessions(one for one in ones if isinstance(one, PracticeSession)))


def about(asked: Asked | AskedAttempt) -> Behind:
    """Return the match or the session that a question is about."""
    return asked.match if isinstance(asked, Asked) else asked.session


def predicted(asked: Asked | AskedAttempt, threads: int | None = None) -> Prediction | None:
    """Return the prediction, not stored yet; None where none can be made."""
    if isinstance(asked, Asked):
        return predicted_stroke(asked, threads)
    return predicted_attempt(asked, threads)


def do_note(one: Behind) -> None:
    """Note that a match or a session was looked at."""
    if isinstance(one, Match):
        do_note_followed(one)
    else:
        do_note_session_followed(one)
