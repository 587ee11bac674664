"""Tables of a season of teams do not become dearer as they need not: 264 boards and 2,640.

Printed: a season read and its page and answer, of one division of twelve teams and of ten such; and the
entry that confirms the boards of an encounter beside 65 encounters that were played and beside 659.
"""

from __future__ import annotations

import random
import uuid
from typing import Any

from tests.benchmarks.bench import database, interleaved, tell

TIMES = 9
TEAMS = 12
BOARDS = 4


def main() -> None:
    with database():
        from django.conf import settings
        from django.test.utils import override_settings

        plain = {"staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}}
        with override_settings(STORAGES=settings.STORAGES | plain):
            _seasons()


def _seasons() -> None:
    from django.contrib.auth import get_user_model

    from scoring.league_tables import read_league
    from tests.cast import client_for

    client = client_for(get_user_model().objects.create_superuser("desk", password=None))
    cups = {"264 boards": season("one", 1), "2,640 boards": season("ten", 10)}

    def asked(address: str) -> None:
        answer = client.get(address)
        if answer.status_code != 200:
            raise AssertionError(answer.status_code)

    works = {
        "season, read": read_league,
        "season, page": lambda cup: asked(f"/competitions/{cup.pk}/teams/"),
        "season, answer": lambda cup: asked(f"/api/competitions/{cup.pk}/season/"),
        "an encounter confirmed": _confirmed,
    }
    for name, work in works.items():
        calls = [lambda cup=cup, work=work: work(cup) for cup in cups.values()]
        taken = interleaved(TIMES, *calls, warm=2)
        few, many = (tell(f"{name}: {size}", found) for size, found in zip(cups, taken, strict=True))
        print(f"Ten times the boards: {many / few:.2f}.\n")


def _confirmed(cup: Any) -> None:
    """Confirm the boards of the last encounter, whose answers are then taken back behind the ledger."""
    from scoring.board_sheets import do_confirm_boards
    from scoring.models import Encounter
    from tests.scoring.pages.writing import ORGANISER

    last = Encounter.objects.select_related("home__competition", "away").filter(group__stage__competition=cup)
    one = last.order_by("-pk")[0]
    _answered(cup, one.pk, {})
    do_confirm_boards(one, ORGANISER, uuid=uuid.uuid4())


def _answered(cup: Any, pk: int, boards: dict[str, str]) -> None:
    from scoring.models import CompetitionProjection

    head = CompetitionProjection.objects.get(competition=cup)
    head.state["encounters"][str(pk)]["boards"] = boards
    head.save()


def season(name: str, divisions: int) -> Any:
    """Return a season in which every encounter was played and confirmed."""
    from scoring.models import Encounter, Player
    from scoring.seasons import do_plan_season, do_set_rule
    from scoring.teams import do_enter_team
    from tests.cast import make_competition
    from tests.scoring.event.league import ORGANISER

    dice = random.Random(name)
    cup = make_competition(name, published=True)
    do_set_rule(cup, {"boards": BOARDS, "double": False}, ORGANISER)
    squads = {}
    for number in range(divisions * TEAMS):
        team = do_enter_team(cup, f"Team {number + 1}", ORGANISER, division=1 + number // TEAMS)
        squads[team.pk] = [Player.objects.enrol("Ada", f"{name} {number} {at}") for at in range(BOARDS)]
    do_plan_season(cup, ORGANISER)
    _play(cup, list(Encounter.objects.filter(group__stage__competition=cup)), squads, dice)
    return cup


def _play(cup: Any, encounters: list[Any], squads: Any, dice: random.Random) -> None:
    """Write boards as rows, and what the ledger would have said of their encounters."""
    from django.utils import timezone

    from scoring.encounter_sums import do_rebuild_boards
    from scoring.models import CompetitionProjection, Encounter
    from scoring.rules.event.encounters import CONFIRMED
    from scoring.summing import do_add_up
    from tests.benchmarks.competitions import write

    head = CompetitionProjection.objects.get(competition=cup)
    for one in encounters:
        sides = {"home": squads[one.home_id], "away": squads[one.away_id]}
        write(cup, one.group, list(zip(*sides.values(), strict=True)), dice, encounter=one)
        told = head.state["encounters"][str(one.pk)]
        told["revealed"] = {side: [player.pk for player in listed] for side, listed in sides.items()}
        told["line_ups"] = dict.fromkeys(sides, "0" * 64)
        told["entered"] = timezone.now().isoformat()
        told["boards"] = {str(board): CONFIRMED for board in range(1, BOARDS + 1)}
        one.status = Encounter.Status.CONFIRMED
    head.save()
    Encounter.objects.bulk_update(encounters, ["status"], batch_size=200)
    do_add_up(cup.pk)
    do_rebuild_boards(cup)


if __name__ == "__main__":
    main()
