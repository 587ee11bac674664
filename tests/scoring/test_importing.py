"""Bringing files in whole, and taking them back without a trace."""

import pytest
from django.db.models import Sum

from scoring import importing, ledger
from scoring.import_trial import Trial
from scoring.ledger import Author
from scoring.merging import do_merge
from scoring.models import (
    Club,
    ColourProjection,
    ExternalNumber,
    ImportBatch,
    Match,
    MatchEntry,
    Membership,
    Player,
    StandingSums,
    StrokeProjection,
)
from scoring.rebuilding import do_rebuild
from scoring.rules.match.checks import Refused
from scoring.rules.said import Malformed
from scoring.totals import read_totals
from tests import cast
from tests.scoring.event.league import League

RESULTS = """Date;Player 1;Player 2;Points 1;Points 2;Innings;High run 1;High run 2
1-9-2020;Mira Quendal;Joost Vilemeer;40;31;27;6;5
2-9-2020;Ronja Astavik;Mira Quendal;12;9;;;
"""
SHEETS = """Date,Player 1,Player 2,Runs 1,Runs 2
2011-03-02,Mira Quendal,Joost Vilemeer,1 0 2 3,0 0 1 1
2011-03-09,Mira Quendal,Joost Vilemeer,1 2,0 1 3
"""
PLAYERS = "Name;Number;Member since\nQuendal, Mira;007;1-2-2020\nEmil Karnhof;008;\n"


def open_batch(kind, text, competition=None, **options):
    club = Club.objects.the_first()
    batch = importing.do_open_batch(club, None, kind, "old.csv", text.encode(), competition)
    importing.do_set(batch, options)
    return batch


def bring(kind, text, competition=None, **options):
    return importing.do_write(open_batch(kind, text, competition, **options), None)


def figures():
    """Everything that is counted, by name."""
    return {
        "totals": [read_totals([one.pk], Match.objects.all()) for one in Player.objects.order_by("pk")],
        "sums": list(StandingSums.objects.order_by("pk").values_list("player", "group", "sums")),
        "points": ColourProjection.objects.aggregate(Sum("points"), Sum("innings"), Sum("score")),
        "rows": [model.objects.count() for model in (Player, Match, MatchEntry, Membership, ExternalNumber)],
    }


@pytest.mark.django_db
@pytest.mark.both_databases
def test_results_become_confirmed_matches_of_the_batch():
    batch = bring("results", RESULTS)
    first, second = Match.objects.order_by("pk")
    assert set(MatchEntry.objects.values_list("import_batch", flat=True)) == {batch.pk}
    assert [do_rebuild(one.pk) for one in (first, second)] == [[], []]
    assert (first.projection.status, first.projection.state["rows"]) == ("confirmed", 0)
    assert first.projection.started_at.date().isoformat() == "2020-09-01"
    assert first.entries.get(kind="result").text.texts == {"source": "old.csv"}
    whole, lost = read_totals([first.entrant_a_id], Match.objects.all())[0], second.colour_projections.all()
    # Points in unknown innings are in no average.
    assert (whole.points, whole.innings, whole.matches) == (40, 27, 2)
    assert {(one.score, one.points, one.innings) for one in lost} == {(12, 0, 0), (9, 0, 0)}
    player = Player.objects.get(name__family="Quendal")
    assert (player.consent, player.published) == ("none", False)
    assert "text" not in batch.options


@pytest.mark.django_db
def test_lists_of_innings_become_innings():
    bring("innings", SHEETS)
    first, second = Match.objects.order_by("pk")
    runs = StrokeProjection.objects.filter(match=first).order_by("order").values_list("colour", "run")
    assert list(runs)[:4] == [("white", 1), ("yellow", 0), ("white", 0), ("yellow", 0)]
    assert [do_rebuild(one.pk) for one in (first, second)] == [[], []]
    assert first.projection.winner_id == first.entrant_a_id
    # Who had an inning more began.
    assert second.projection.white_id == second.entrant_b_id == second.projection.winner_id


@pytest.mark.django_db
def test_a_trial_writes_nothing_and_says_what_it_would_make():
    cast.make_player("Quendal")
    before = figures()
    trial = Trial(open_batch("results", RESULTS))
    assert (trial.counts["matches"], trial.to_choose, trial.is_ready, trial.without_innings) == (
        2,
        1,
        False,
        2,
    )
    assert figures() == before
    bad = Trial(open_batch("results", RESULTS.replace("31;27", "x;27")))
    assert [(one.line, one.column) for one in bad.problems] == [(2, "score_b")]
    with pytest.raises(Refused):
        importing.do_write(bad.batch, None)
    assert figures() == before


@pytest.mark.django_db
def test_names_are_never_taken_for_a_player_unasked():
    mira = cast.make_player("Quendal")
    with pytest.raises(Refused):
        bring("results", RESULTS)
    batch = open_batch("results", RESULTS)
    key = next(one.key for one in Trial(batch).people if one.known)
    importing.do_set(batch, {"people": {key: str(mira.pk)}})
    importing.do_write(batch, None)
    assert Match.objects.of_player(mira).count() == 2
    bring("results", RESULTS.replace("2020", "2019"), people={key: "new"}, same_names=True)
    assert Player.objects.filter(name__family="Quendal").count() == 2
    assert Player.objects.filter(name__family="Vilemeer").count() == 1


@pytest.mark.django_db
def test_the_same_match_and_the_same_file_are_known_again():
    first = bring("results", RESULTS)
    again = open_batch("results", RESULTS, same_names=True)
    assert Trial(again).seen_before == first
    assert [twin.match is not None for twin in Trial(again).twins] == [True, True]
    importing.do_set(again, {"again": True, "twins": "skip"})
    assert Trial(again).counts["matches"] == 0
    importing.do_set(again, {"rows": {"2": "new"}})
    importing.do_write(again, None)
    assert Match.objects.count() == 3
    turned = RESULTS.replace("Mira Quendal;Joost Vilemeer;40;31", "Joost Vilemeer;Mira Quendal;31;40")
    twins = Trial(open_batch("results", turned.replace("6;5", "5;6"), same_names=True)).twins
    assert [twin.line for twin in twins] == [2, 3]


@pytest.mark.django_db
@pytest.mark.both_databases
def test_players_come_with_numbers_and_memberships():
    mira = cast.make_player("Quendal")
    batch = open_batch("players", PLAYERS, issuer="Union")
    assert [(twin.line, twin.choice) for twin in Trial(batch).twins] == [(2, None)]
    importing.do_set(batch, {"rows": {"2": str(mira.pk)}})
    importing.do_write(batch, None)
    assert Player.objects.count() == 2
    assert str(mira.external_numbers.get()) == "Union 007"
    assert mira.memberships.get().since.isoformat() == "2020-02-01"
    by_number = Trial(open_batch("players", "Name;Number\nM. Q.;007\n", issuer="Union")).twins[0]
    assert (by_number.by_number, by_number.known) == (True, [mira])
    importing.do_undo(ImportBatch.objects.get(pk=batch.pk), None)
    assert (Player.objects.count(), ExternalNumber.objects.count(), Membership.objects.count()) == (1, 0, 0)


@pytest.mark.django_db
@pytest.mark.both_databases
@pytest.mark.parametrize(("kind", "text"), [("results", RESULTS), ("innings", SHEETS)])
def test_undoing_leaves_no_trace(kind, text):
    cup = cast.make_competition()
    mira, joost = cast.make_player("Quendal"), cast.make_player("Vilemeer")
    match = cast.make_match(mira, joost, competition=cup)
    importing.do_write(open_batch("results", RESULTS.replace("2020", "2018"), cup, same_names=True), None)
    before = figures()
    batch = bring(kind, text, cup, same_names=True)
    assert figures()["sums"] != before["sums"]
    user = cast.make_organiser()
    batch = importing.do_undo(batch, user)
    after = figures()
    assert (after, batch.undone_by, batch.undone_at is not None) == (before, user, True)
    assert Match.objects.filter(pk=match.pk).exists()
    with pytest.raises(Refused):
        importing.do_undo(batch, user)


@pytest.mark.django_db
def test_undoing_is_refused_where_something_was_built_on_it():
    batch = bring("results", RESULTS)
    match = Match.objects.order_by("pk").first()
    mira = Player.objects.get(name__family="Quendal")
    built = [
        lambda: ledger.append(match.pk, _dispute(match), Author(organises=True)),
        lambda: cast.make_match(mira, cast.make_player("Brinsel")),
        lambda: Player.objects.filter(pk=mira.pk).update(user=cast.make_user()),
        lambda: do_merge(Player.objects.get(name__family="Astavik"), cast.make_player("Astavik"), None),
    ]
    from django.db import transaction

    for build in built:
        point = transaction.savepoint()
        build()
        before = figures()
        with pytest.raises(Refused):
            importing.do_undo(batch, None)
        assert figures() == before
        transaction.savepoint_rollback(point)
    importing.do_undo(batch, None)
    assert Player.objects.count() == 0


def _dispute(match):
    uuid = "00000000-0000-4000-8000-000000000001"
    return {"uuid": uuid, "after": match.projection.seq, "kind": "dispute", "target": 2, "why": "misread"}


@pytest.mark.django_db
def test_a_closed_competition_takes_nothing_in():
    cup = cast.make_competition()
    batch = open_batch("results", RESULTS, cup)
    type(cup).objects.filter(pk=cup.pk).update(closed_at="2020-01-01T00:00:00Z")
    with pytest.raises(Refused) as refused:
        importing.do_write(batch, None)
    assert refused.value.code == "closed"


@pytest.mark.django_db
def test_who_read_a_draft_before_it_was_brought_in_makes_no_draft_of_it_again():
    batch = open_batch("results", RESULTS)
    twice = ImportBatch.objects.get(pk=batch.pk)
    importing.do_write(batch, None)
    for again in (lambda: importing.do_set(twice, {"again": True}), lambda: importing.do_drop(twice)):
        with pytest.raises(Refused) as refused:
            again()
        assert refused.value.code == "written"
    with pytest.raises(Refused):
        importing.do_write(twice, None)
    assert (Match.objects.count(), len(ImportBatch.objects.get(pk=batch.pk).made["matches"])) == (2, 2)


@pytest.mark.django_db
def test_a_choice_that_no_database_can_hold_is_refused():
    with pytest.raises(Malformed):
        open_batch("results", RESULTS, people={"quendal": "\0"})


@pytest.mark.django_db
def test_a_player_who_stands_in_a_line_up_that_waits_is_not_taken_back():
    league = League()
    batch = bring("players", PLAYERS, twins="new", issuer="Region")
    made = ImportBatch.objects.get(pk=batch.pk).made["players"]
    # Somebody of the club has one of the names; it was chosen that this is somebody new.
    assert len(made) == 2
    stranger = Player.objects.get(uuid=made[1])
    players = [*league.regulars(league.home)[:3], stranger.pk]
    assert league.step(league.captain(league.home), "line-up", players=players).status_code == 200
    with pytest.raises(Refused) as refused:
        importing.do_undo(batch, None)
    assert refused.value.code == "built-on"


@pytest.mark.django_db
def test_a_file_without_heads_loses_no_row():
    batch = open_batch("results", RESULTS.partition("\n")[2])
    trial = Trial(batch)
    assert (trial.table.headless, len(trial.table.rows), trial.missing != []) == (True, 2, True)
    names = ("date", "player_a", "player_b", "score_a", "score_b", "innings")
    importing.do_set(batch, {"columns": {name: place for place, name in enumerate(names)}})
    importing.do_write(batch, None)
    assert Match.objects.count() == 2
    # Heads are heads where somebody says so.
    assert len(Trial(open_batch("results", RESULTS, headless=True)).table.rows) == 3
