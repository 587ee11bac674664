"""What is told a coach of pupils: the chart of all, and each pupil in sentences."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import PupilRow
from analytics.charts.chart import Cut, Num
from analytics.coach import Coached, Next, Practised, Pupil, Task
from analytics.game import Game
from analytics.reports.common import Interval
from analytics.reports.intervals import LEAST_INNINGS, Estimate
from analytics.reports.lately import WINDOW, Lately
from analytics.templatetags.charts import say
from scoring.pages.words import family_name, speak

from .reporting import Section


def sections_of(found: Coached) -> Iterator[Section]:
    """Yield what stands above the pupils: all of them beside one another, by name, not by rank."""
    rows = [_row(one) for one in found.pupils if one.innings]
    if not rows:
        return
    notes = [
        gettext(
            "Averages are points over innings of confirmed matches; bands are on points per miss. "
            "Under %(least)s innings there are counts only."
        )
        % {"least": LEAST_INNINGS}
    ]
    many = sum(row.matches for row in rows)
    counts = ngettext("one match", "%(n)s matches", many) % {"n": say(Num(many))}
    drawn = charts.pupils_lately(
        rows, window=WINDOW, cut=Cut(found.game.decimals, found.game.rounding), counts=counts
    )
    yield Section("together", gettext("All of them"), (), [drawn], notes)


def _row(pupil: Pupil) -> PupilRow:
    last, before = pupil.lately.last, pupil.lately.before
    interval = last.interval
    return PupilRow(
        pupil.player.full_name,
        pupil.matches,
        last.average,
        interval.low if interval else None,
        interval.high if interval else None,
        before.average,
    )


def pupil_findings(pupil: Pupil, game: Game) -> Iterator[str]:
    """Yield what is found of a pupil, counts first."""
    yield from _average_findings(pupil, game)
    yield practised_words(pupil.practised)
    yield next_words(pupil.next)


def _average_findings(pupil: Pupil, game: Game) -> Iterator[str]:
    if not pupil.innings:
        yield gettext("No confirmed match of what is asked has an inning yet.")
    else:
        yield ngettext(
            "General average %(average)s: %(points)s points in %(innings)s innings of one match.",
            "General average %(average)s: %(points)s points in %(innings)s innings of %(matches)s matches.",
            pupil.matches,
        ) % {
            "average": game.cut(pupil.points, pupil.innings),
            "points": pupil.points,
            "innings": pupil.innings,
            "matches": pupil.matches,
        }
        yield from _lately_findings(pupil.lately, game)
    if pupil.pending:
        yield ngettext(
            "One match waits to be confirmed.", "%(n)s matches wait to be confirmed.", pupil.pending
        ) % {"n": pupil.pending}


def _lately_findings(lately: Lately, game: Game) -> Iterator[str]:
    last, before = lately.last, lately.before
    if not before.matches:
        if last.interval is not None:
            yield _per_miss(last.interval) + (f" {speak(last.words)}." if last.words else "")
        elif last.words:
            yield speak(last.words).capitalize() + "."
        return
    yield gettext("The last %(window)s: %(last)s. Before, %(count)s: %(before)s.") % {
        "window": last.matches,
        "last": _average_words(last, game),
        "count": before.matches,
        "before": _average_words(before, game),
    }
    if lately.interval is None or lately.ratio is None:
        yield gettext("Too few matches before to tell whether anything changed.")
        return
    values = {
        "ratio": say(Num(lately.ratio, "number", 2)),
        "low": say(Num(lately.interval.low, "number", 2)),
        "high": say(Num(lately.interval.high, "number", 2)),
        "innings": say(Num(lately.to_tell)),
    }
    text = gettext("Lately %(ratio)s times the points per miss of before, between %(low)s and %(high)s.")
    if not lately.clear:
        text += " " + gettext(
            "Too early to tell whether anything changed; about %(innings)s innings on each side would show a "
            "fifth more."
        )
    yield text % values


def _per_miss(interval: Interval) -> str:
    return gettext("Points per miss lie between %(low)s and %(high)s, with 95 in 100.") % {
        "low": say(Num(interval.low, "number", 2)),
        "high": say(Num(interval.high, "number", 2)),
    }


def _average_words(known: Estimate, game: Game) -> str:
    average = game.cut(known.points, known.innings) or "–"
    if known.interval is None:
        return average
    return gettext("%(average)s (%(low)s to %(high)s)") % {
        "average": average,
        "low": say(Num(known.interval.low, "number", 2)),
        "high": say(Num(known.interval.high, "number", 2)),
    }


def practised_words(practised: Practised) -> str:
    """Return all that was practised, in counts."""
    if not practised.sessions:
        return gettext("Nothing practised yet.")
    return ngettext(
        "Practised: %(made)s of %(tried)s attempts made in one session.",
        "Practised: %(made)s of %(tried)s attempts made in %(n)s sessions.",
        practised.sessions,
    ) % {"made": practised.made, "tried": practised.tried, "n": practised.sessions}


def next_words(known: Next) -> str:
    """Return what to practise next: one family where it is clear, else those it lies between."""
    advice = known.advice
    if advice is None:
        return gettext(
            "What to practise next cannot be told yet: too few strokes, or promises, with a family on record."
        )
    by_name = {one.name: one for one in advice.worth}
    if advice.named is not None:
        best = by_name[advice.named]
        return gettext(
            "To practise next: %(family)s, the best choice in %(times)s of 100 draws, worth about %(gain)s of average."
        ) % {
            "family": family_name(best.name),
            "times": say(Num(best.best, "percent")),
            "gain": say(Num(best.gain, "number", 3)),
        }
    if not advice.contenders:
        return gettext("To practise next: nothing is within reach that is not made already.")
    listed = ", ".join(
        gettext("%(family)s (%(times)s of 100)")
        % {"family": family_name(name), "times": say(Num(by_name[name].best, "percent"))}
        for name in advice.contenders
    )
    return gettext("To practise next, too close to name one: %(families)s.") % {"families": listed}


def goal_words(one: Task) -> str:
    """Return the goal of what was set and whether a session reached it; "" without a goal."""
    goal = one.task.goal or {}
    if not goal.get("made"):
        return ""
    words = gettext("Goal: %(made)s of %(attempts)s.") % {
        "made": goal["made"],
        "attempts": goal.get("attempts", "–"),
    }
    if not one.sessions:
        return words
    return f"{words} {gettext('Reached.') if one.reached else gettext('Not reached yet.')}"
