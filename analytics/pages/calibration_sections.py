"""The sections of a calibration page: the verdict in words, what was promised and made, then the figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.calibration import Calibration
from analytics.charts import Block, Chart, ScoreRow, TenthRow
from analytics.charts.chart import Num
from analytics.reports.belief import Belief
from analytics.reports.calibration import STRIP
from analytics.reports.common import Interval
from analytics.reports.recalibrating import LEAST_DIAGRAM, LEAST_IN_THE_LARGE, Shows, Verdict
from analytics.templatetags.charts import say
from scoring.pages.words import speak
from scoring.rules.said import Said, said

from .report_families import aside_words, only_points_words
from .reporting import Section

TITLES = {
    ("blind", "declared"): said("Told before the stroke, of the declared line"),
    ("blind", "best"): said("Told before the stroke, of the best line"),
    ("same-time", "declared"): said("Told with the stroke, of the declared line"),
    ("same-time", "best"): said("Told with the stroke, of the best line"),
    ("hindsight", "declared"): said("Told afterwards, of the declared line"),
    ("hindsight", "best"): said("Told afterwards, of the best line"),
}
IN_PRACTICE = {
    ("blind", "declared"): said("In practice, told before the stroke, of the declared line"),
    ("blind", "best"): said("In practice, told before the stroke, of the best line"),
    ("same-time", "declared"): said("In practice, told with the stroke, of the declared line"),
    ("same-time", "best"): said("In practice, told with the stroke, of the best line"),
    ("hindsight", "declared"): said("In practice, told afterwards, of the declared line"),
    ("hindsight", "best"): said("In practice, told afterwards, of the best line"),
}
# Fewer players than this, drawn anew, make intervals that are too narrow.
FEW_PLAYERS = 8
SCORES = {"brier": said("Brier score"), "log": said("Log score")}


def sections_of(found: Calibration) -> Iterator[Section]:
    """Yield a section for each kind and line in matches, then those of practice."""
    for one in found.matches:
        yield section_of(one)
    for one in found.practice or []:
        yield section_of(one, practice=True)


def deserved(found: Calibration) -> list[str]:
    """Return whether the calculator deserves belief, in plain words, and what was left aside for it."""
    practice = aside_words(found.practice_aside)
    return [
        *_deserved(found),
        *aside_words(found.aside),
        *(gettext("In practice: %s") % one for one in practice),
    ]


def _deserved(found: Calibration) -> list[str]:
    """Return it of promises made in time."""
    in_time = [one for one in found.matches if one.kind != "hindsight"]
    if not found.matches:
        return [
            gettext(
                "No stroke of these matches has a promise. A promise is made where the balls and the line of a "
                "stroke are written down; a worker then predicts it."
            )
        ]
    if not in_time:
        return [
            gettext(
                "All of these promises were told after the stroke; such promises prove little, for whoever told "
                "the line knew what came of it."
            )
        ]
    enough = [one for one in in_time if one.found is not Verdict.FEW]
    if not enough:
        return [
            gettext(
                "Too early to tell whether the promises deserve belief: it takes %(least)s strokes of one kind to "
                "say anything, and most so far are %(most)s."
            )
            % {"least": LEAST_IN_THE_LARGE, "most": max(one.strokes for one in in_time)}
        ]
    if all(one.found is Verdict.AS_PROMISED for one in enough):
        text = gettext("So far the promises deserve belief: nothing here speaks against them.")
        if all(one.shown is not Shows.DIAGRAM for one in enough):
            text += " " + gettext(
                "So few strokes would show a large fault only; from %(least)s on smaller ones show too."
            ) % {"least": LEAST_DIAGRAM}
        return [text]
    return [
        gettext(
            "Read the promises with care: what was made strays from what was promised by more than chance gives."
        )
    ]


def section_of(one: Belief, practice: bool = False) -> Section:
    """Return the section of promises of one kind, about one line."""
    titles = IN_PRACTICE if practice else TITLES
    code = f"{'practice-' if practice else ''}{one.kind}-{one.line}"
    return Section(
        code,
        speak(titles[one.kind, one.line]),
        list(_findings(one)),
        list(_charts(one, code, _counts(one, practice))),
        list(_notes(one, practice)),
    )


def _counts(one: Belief, practice: bool) -> Said:
    if practice:
        return said("%(strokes)s attempts with such a promise", strokes=one.strokes)
    if one.players > 1:
        return said(
            "%(strokes)s strokes of %(players)s players with such a promise",
            strokes=one.strokes,
            players=one.players,
        )
    return said("%(strokes)s strokes with such a promise", strokes=one.strokes)


# --- words ---------------------------------------------------------------------


def _findings(one: Belief) -> Iterator[str]:
    yield speak(one.words)
    low, high = one.promise.central
    if one.strokes < LEAST_IN_THE_LARGE:
        yield gettext(
            "Chance alone gives %(low)s to %(high)s points. From %(least)s strokes on it can be told whether the "
            "sum is off."
        ) % {"low": low, "high": high, "least": LEAST_IN_THE_LARGE}
        return
    yield from _in_the_large(one)
    if one.shown is Shows.DIAGRAM:
        yield from _tilt(one)
    else:
        yield gettext(
            "Whether high promises are too high, or low ones too low, can be told from %(least)s strokes on."
        ) % {"least": LEAST_DIAGRAM}


def _in_the_large(one: Belief) -> Iterator[str]:
    low, high = one.promise.central
    if one.large is None:
        yield gettext("If every promise holds, chance gives %(low)s to %(high)s points.") % {
            "low": low,
            "high": high,
        }
    elif one.club is not None:
        yield (
            gettext(
                "Per 100 strokes %(gained)s points were made beyond the promised; players drawn anew give %(low)s to "
                "%(high)s."
            )
            % {
                "gained": _signed(one.club.gained, 1),
                "low": _signed(one.club.of_gained.low, 1),
                "high": _signed(one.club.of_gained.high, 1),
            }
            + " "
            + _shift(one.club.shift, one.club.of_shift)
        )
    else:
        yield (
            gettext("If every promise holds, chance gives %(low)s to %(high)s points.")
            % {
                "low": low,
                "high": high,
            }
            + " "
            + _shift(one.large.shift, one.large.interval)
        )


def _shift(shift: float, interval: Interval) -> str:
    return gettext(
        "In the large: promises would have to move by %(shift)s in log-odds, between %(low)s and %(high)s (%(level)s in 100)."
    ) % {
        "shift": _signed(shift, 2),
        "low": _signed(interval.low, 2),
        "high": _signed(interval.high, 2),
        "level": round(100 * interval.level),
    }


def _tilt(one: Belief) -> Iterator[str]:
    both = one.both
    if both is None:
        yield gettext("The promises differ too little for a slope.")
        return
    interval = one.of_slope or both.of_slope
    yield gettext(
        "Slope %(slope)s, between %(low)s and %(high)s (%(level)s in 100): at 1 high and low promises are equally "
        "right, below 1 the high ones are too high and the low ones too low."
    ) % {
        "slope": _number(both.slope, 2),
        "low": _number(interval.low, 2),
        "high": _number(interval.high, 2),
        "level": round(100 * interval.level),
    }


def _notes(one: Belief, practice: bool) -> Iterator[str]:
    if one.promise.only_points:
        yield only_points_words()
    if one.kind == "hindsight":
        yield gettext(
            "Told after the outcome was known: whoever told it may have told what came of it. It is no proof."
        )
    elif one.kind == "same-time":
        yield gettext("Told in the same breath as the outcome: weaker proof than what was told before.")
    if one.line == "best":
        yield gettext(
            "About the best line for the player's spread, which the player may not have chosen: choices count "
            "here as well as the calculator."
        )
    if practice:
        yield gettext(
            "Repeated positions share a promise: where it is off it is off each time, so chance is wider than it says."
        )
    if one.club is not None:
        yield gettext(
            "Intervals come of drawing the %(players)s players anew %(draws)s times (seed %(seed)s), and are no "
            "narrower than chance alone makes them."
        ) % {"players": one.players, "draws": one.club.draws, "seed": one.club.seed}
        if one.players < FEW_PLAYERS:
            yield gettext("So few players make intervals that are somewhat too narrow.")
    if one.chance is not None:
        drawn = one.chance["brier"]
        yield ngettext(
            "What chance gives was drawn once (seed %(seed)s).",
            "What chance gives was drawn %(draws)s times (seed %(seed)s).",
            drawn.draws,
        ) % {"draws": say(Num(drawn.draws)), "seed": drawn.seed}


# --- charts --------------------------------------------------------------------


def _charts(one: Belief, code: str, counts: Said) -> Iterator[Chart]:
    if one.diagram is not None:
        yield _reliability(one, code, counts)
    if one.shown is not Shows.TOTALS:
        yield charts.promised_by_tenths(
            [
                TenthRow(tenth, row.strokes, row.points, row.expected, *row.central)
                for tenth, row in one.tenths.items()
            ],
            name=f"by-tenths-{code}",
            title=said("Promise by promise"),
            counts=counts,
        )
    if one.scores is not None and one.chance is not None:
        yield charts.score_parts(
            _score_rows(one),
            name=f"scores-{code}",
            title=said("Scores and what they are made of"),
            counts=counts,
        )


def _score_rows(one: Belief) -> Sequence[ScoreRow]:
    scores, chance = one.scores or {}, one.chance or {}
    return [
        ScoreRow(
            SCORES[rule],
            found.score,
            found.mcb,
            chance[rule].mean,
            chance[rule].most,
            found.dsc,
            found.unc,
        )
        for rule, found in scores.items()
    ]


def _reliability(one: Belief, code: str, counts: Said) -> Chart:
    drawn = one.diagram
    if drawn is None:
        raise ValueError(code)
    blocks = [
        Block(step.start, step.end, step.strokes, round(step.rate * step.strokes)) for step in drawn.steps
    ]
    outside = _outside(one)
    chart = charts.reliability(
        blocks,
        drawn.at,
        drawn.low,
        drawn.high,
        ([at / STRIP for at in range(STRIP + 1)], drawn.strip),
        level_of=round(100 * drawn.level),
        title=said("Made against promised"),
        finding=said(
            "%(within)s of 100 strokes lie where the line runs within the band that true promises give.",
            within=Num(1.0 - outside, "percent"),
        ),
        counts=counts,
    )
    name = f"reliability-{code}"
    return replace(chart, name=name, csv_name=f"{name}.csv")


def _outside(one: Belief) -> float:
    """Return the share of strokes at whose promise the isotonic line runs outside the band."""
    import numpy as np

    drawn = one.diagram
    if drawn is None:
        return 0.0
    at = np.array(drawn.at)
    starts = np.array([step.start for step in drawn.steps])
    rates = np.array([step.rate for step in drawn.steps])
    weights = np.array([step.strokes for step in drawn.steps], dtype=float)
    which = np.clip(np.searchsorted(starts, at, side="right") - 1, 0, len(starts) - 1)
    beyond = (rates[which] < np.array(drawn.low) - 1e-9) | (rates[which] > np.array(drawn.high) + 1e-9)
    share = np.bincount(which, weights=beyond, minlength=len(starts)) / np.maximum(
        np.bincount(which, minlength=len(starts)), 1
    )
    return float((share * weights).sum() / weights.sum())


def _number(value: float, digits: int) -> str:
    return say(Num(value, "number", digits))


def _signed(value: float, digits: int) -> str:
    return say(Num(value, "signed", digits))
