"""The sections of a match's story: what happened, and what was to be expected after each inning."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from django.utils.translation import gettext, ngettext

from analytics import charts
from analytics.charts import Chart
from analytics.charts.chart import Text
from analytics.known import Known
from analytics.match_story import MatchStory
from analytics.reports.story_parts import Block, Place, Step, Story
from analytics.reports.story_words import MOVED, of_hundred
from analytics.templatetags.charts import say
from scoring.pages.words import speak
from scoring.rules.said import said

from .reporting import Section

MISSING = {
    "not-begun": said("The match has not begun: what follows is what may be expected of it."),
    "not-played": said("The match was not decided at the table. What was played counts in no average."),
    "totals-only": said(
        "Only the totals of this match were written down, so nobody knows how the runs fell or who led when."
    ),
    "unfinished": said("The match is not over: the story ends with the last inning that is finished."),
    "inning-under-way": said("The inning under way is left out until it is finished."),
    "not-confirmed": said("The match waits to be confirmed; its runs may still be corrected."),
    "broken-off": said("The match was given up before anybody had won it at the table."),
    "no-format": said(
        "No distance and no limit of innings were agreed: nobody can say how likely either was to win."
    ),
    "no-chances": said("The chances of this match cannot be worked out from its sheet and its format."),
}


def missing_words(told: MatchStory) -> list[str]:
    """Return what is not there, and why, in the reader's language."""
    return [speak(MISSING[code]) for code in told.missing]


def sections_of(told: MatchStory) -> Iterator[Section]:
    """Yield the sections of a story."""
    yield what_happened(told)
    if told.before is not None:
        yield who_was_likely(told)


# --- what happened -------------------------------------------------------------


def what_happened(told: MatchStory) -> Section:
    """Return the runs of both, inning by inning, and who led when."""
    sentences = [speak(one) for one in told.story.sentences] if told.story else []
    drawn = [*_strips(told)]
    if told.leads:
        drawn.append(charts.lead(told.leads, told.names, shares=told.shares, turns=_marks(told)))
    findings = [*sentences, *missing_words(told)]
    extra = [block for block in told.blocks if block.extra]
    if extra:
        findings.append(_extra_words(told, extra[0]))
    notes = []
    if told.shares:
        notes.append(
            gettext(
                "The distances differ: ahead is who has made the larger share of the own distance, in the words "
                "and in the drawing. The points stand in its table."
            )
        )
    if sum(not block.extra for block in told.blocks) > 1:
        notes.append(gettext("Each set begins level: the lead counts within its set."))
    return Section("story", gettext("What happened"), findings, drawn, notes)


def _strips(told: MatchStory) -> Iterator[Chart]:
    """Yield a strip of runs for each set; extra innings are told in words."""
    sets = [block for block in told.blocks if not block.extra]
    for number, block in enumerate(sets, 1):
        strip = charts.run_strip(*block.runs, told.names)
        if len(sets) > 1:
            name = f"{strip.name}-{number}"
            title = said("Run by run, set %(set)s", set=number)
            strip = replace(strip, name=name, csv_name=f"{name}.csv", title=title)
        yield strip


def _extra_words(told: MatchStory, block: Block) -> str:
    values = {"first": told.names[0], "second": told.names[1]}
    runs = (", ".join(str(run) for run in one) or "–" for one in block.runs)
    return gettext("Extra innings: %(first)s made %(runs)s, %(second)s %(others)s.") % {
        **values,
        **dict(zip(("runs", "others"), runs, strict=True)),
    }


def _marks(told: MatchStory) -> list[tuple[int, Text]]:
    """Return the innings, counted through, at which the match turned and a set begins; one mark a place."""
    marks: dict[int, Text] = {}
    if told.story is not None and told.story.turn is not None and abs(told.story.turn.moved) >= MOVED:
        marks[rounds_of(told.story).index(told.story.turn.place) + 1] = _turned(told)
    at = 0
    for number, block in enumerate(told.blocks, 1):
        if number > 1:
            begins = said("extra innings begin") if block.extra else said("set %(set)s begins", set=number)
            marks[at] = said("%(one)s; %(other)s", one=marks[at], other=begins) if at in marks else begins
        at += max(map(len, block.runs))
    return sorted(marks.items())


def rounds_of(found: Story) -> list[Place]:
    """Return the innings of a story in order, each once for both players."""
    return [*dict.fromkeys(step.place for step in found.steps)]


def _turned(told: MatchStory) -> Text:
    step: Step = told.story.turn  # type: ignore[union-attr, assignment]
    if step.run == 0:
        return said(
            "it turned: no point of %(name)s in %(place)s",
            name=told.names[step.player],
            place=step.place.said,
        )
    return said(
        "it turned: %(run)s of %(name)s in %(place)s",
        run=step.run,
        name=told.names[step.player],
        place=step.place.said,
    )


# --- who was likely to win -------------------------------------------------------


def who_was_likely(told: MatchStory) -> Section:
    """Return the chance before the match as a range, what it is built on, and how it went on."""
    findings = [before_words(told)]
    findings += [known_words(one, name) for one, name in zip(told.known, told.names, strict=True)]
    if told.unlike:
        findings.append(gettext("Their distances differ, and were taken for fair."))
    drawn: list[Chart] = []
    if told.story is not None:
        found = told.story
        drawn.append(
            charts.win_probability(
                found.chances,
                told.names,
                low=found.low,
                high=found.high,
                turns=_marks(told),
                title=said("The chance to win, inning by inning"),
                finding=said(
                    "Before the match %(name)s had about %(chance)s chances in 100, after the last inning %(after)s.",
                    name=told.names[0],
                    chance=of_hundred(found.chances[0]),
                    after=of_hundred(found.chances[-1]),
                ),
            )
        )
    notes = [
        gettext(
            "What was known of the players stays as it was the day before the match, so that every move of "
            "the line comes from the sheet. A draw counts half."
        )
    ]
    return Section("chances", gettext("Who was likely to win"), findings, drawn, notes)


def before_words(told: MatchStory) -> str:
    """Return the chance before the match as a range."""
    if told.before is None:
        raise ValueError(told.match.pk)
    ends = told.before.interval
    values = {
        "name": told.names[0],
        "low": say(of_hundred(ends.low)),
        "high": say(of_hundred(ends.high)),
        "mean": say(of_hundred(told.before.mean)),
    }
    if not any(one.innings for one in told.known):
        return gettext(
            "Nothing is known of what either had played before, so this line tells only what the innings did."
        )
    if told.blocks:
        text = gettext(
            "Before the match %(name)s was to win %(low)s to %(high)s of 100 such matches, about %(mean)s, by "
            "what was known of both and the format of this match."
        )
    else:
        text = gettext(
            "%(name)s is to win %(low)s to %(high)s of 100 such matches, about %(mean)s, by what is known of "
            "both and the format of this match."
        )
    return text % values


def known_words(known: Known, name: str) -> str:
    """Return on how much the knowledge of a player rests."""
    if known.of == "none":
        return gettext(
            "The earlier matches of %(name)s are not open to you: the club's average stands for them."
        ) % {"name": name}
    if not known.innings:
        return gettext("Of %(name)s no earlier match is confirmed: the club's average stands for it.") % {
            "name": name
        }
    text = ngettext(
        "Of %(name)s one earlier match is known: %(points)s points in %(innings)s innings.",
        "Of %(name)s %(matches)s earlier matches are known: %(points)s points in %(innings)s innings.",
        known.matches,
    )
    if known.of == "mutual":
        text += " " + gettext("Only those between the two are open to you.")
    elif known.of == "published":
        text += " " + gettext("Only published ones are open to you.")
    return text % {
        "name": name,
        "matches": known.matches,
        "points": known.points,
        "innings": known.innings,
    }
