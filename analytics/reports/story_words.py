"""A match's story in words: a few sentences, and none where there is nothing to tell."""

from __future__ import annotations

from collections.abc import Iterator

from scoring.rules.said import Said, said

from .story_parts import Furthest, Step, Story

# A dry spell is told from so many innings on.
DRY = 5
# A turn is told where an inning moved the chance by so much.
MOVED = 0.05

Name = str | Said


def sentences(found: Story, leader: int | None, names: tuple[Name, Name]) -> Iterator[Said]:
    """Tell the lead, the longest lead, dry spells and the turn; `leader`: who was ahead last."""
    yield _lead_said(found, leader, names)
    most = max((one for one in found.furthest if one is not None), key=lambda one: one.ahead, default=None)
    if most is not None:
        yield _furthest_said(most, names)
    for spell in found.dry:
        if spell is not None and spell.innings >= DRY:
            yield said(
                "%(name)s made no point in %(innings)s innings running, up to %(place)s.",
                name=names[spell.player],
                innings=spell.innings,
                place=spell.last.said,
            )
    if found.turn is not None and abs(found.turn.moved) >= MOVED:
        yield _turn_said(found.turn, names)


def _lead_said(found: Story, leader: int | None, names: tuple[Name, Name]) -> Said:
    if found.by_shares:
        return _lead_by_shares(found, leader, names)
    if found.changes > 1:
        return said("The lead changed hands %(times)s times.", times=found.changes)
    if found.changes == 1:
        return said("The lead changed hands once.")
    led = [one for one in found.furthest if one is not None]
    if not led:
        return said("Nobody was ever ahead after an inning of both.")
    if len(led) > 1 or leader is None:
        return said("The lead changed hands only from set to set.")
    return said("%(name)s was never behind after an inning of both.", name=names[led[0].player])


def _lead_by_shares(found: Story, leader: int | None, names: tuple[Name, Name]) -> Said:
    if found.changes > 1:
        return said(
            "By shares of the own distance, the lead changed hands %(times)s times.", times=found.changes
        )
    if found.changes == 1:
        return said("By shares of the own distance, the lead changed hands once.")
    led = [one for one in found.furthest if one is not None]
    if not led:
        return said("By shares of the own distance, nobody was ever ahead after an inning of both.")
    if len(led) > 1 or leader is None:
        return said("By shares of the own distance, the lead changed hands only from set to set.")
    return said(
        "By shares of the own distance, %(name)s was never behind after an inning of both.",
        name=names[led[0].player],
    )


def _furthest_said(most: Furthest, names: tuple[Name, Name]) -> Said:
    name, place = names[most.player], most.place.said
    if most.shares:
        return said(
            "%(name)s was furthest ahead after %(place)s, by %(percent)s %% of the distance.",
            name=name,
            place=place,
            percent=round(100 * most.ahead),
        )
    if most.ahead == 1:
        return said("%(name)s was furthest ahead after %(place)s, by 1 point.", name=name, place=place)
    return said(
        "%(name)s was furthest ahead after %(place)s, by %(points)s points.",
        name=name,
        place=place,
        points=int(most.ahead),
    )


def _turn_said(turn: Step, names: tuple[Name, Name]) -> Said:
    own = (turn.before, turn.after) if turn.player == 0 else (1.0 - turn.before, 1.0 - turn.after)
    params = {
        "place": turn.place.said,
        "name": names[turn.player],
        "before": of_hundred(own[0]),
        "after": of_hundred(own[1]),
    }
    if turn.run == 0:
        return said(
            "It turned most in %(place)s: without a point, the chance of %(name)s went from %(before)s to %(after)s in 100.",
            **params,
        )
    return said(
        "It turned most in %(place)s: a run of %(run)s took the chance of %(name)s from %(before)s to %(after)s in 100.",
        run=turn.run,
        **params,
    )


def of_hundred(chance: float) -> Said | int:
    """Return a chance in whole hundredths; what is not certain is never told as 0 or 100."""
    if 0.0 < chance < 0.005:
        return said("less than 1")
    if 0.995 <= chance < 1.0:
        return said("more than 99")
    return round(100 * chance)
