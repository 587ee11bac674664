"""What every address asks of whoever calls it: the table that `scoring.access` judges by."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class Right(StrEnum):
    """What an address asks of whoever calls it."""

    ANYONE = "anyone"
    SIGNED_IN = "a signed-in user"
    ORGANISE = "an organiser of the whole club"
    ADMINISTER = "an administrator of the whole club"
    ENROL = "an organiser; a referee for guests"
    ARRANGE = "an organiser, a referee, or a player for a match of their own"
    COMPETITION_READ = "whoever may see the competition"
    COMPETITION_MANAGE = "an organiser of the competition"
    LINK = "an organiser of the club or of one competition"
    LEAGUE_READ = "whoever may see the competition, and the players of its teams"
    LEAGUE_MANAGE = "an organiser of the competition, as its players may know of it"
    ENCOUNTER_WRITE = "a captain of the two teams, or an organiser of the competition"
    MATCH_READ = "whoever may see the match"
    MATCH_WRITE = "whoever may write the match"
    MATCH_CORRECT = "an organiser of the match"
    PLAYER_READ = "anyone; names as agreed"
    REPORT_READ = "the player, organisers and agreed coaches; anyone where the player opened it"
    PLAYER_EDIT = "an organiser, or the player for some fields"
    COACH = "a coach"
    SESSION_READ = "the player, or a coach the player agreed to"
    SESSION_WRITE = "the player"
    POSITION_READ = "whoever may try the position"
    POSITION_EDIT = "whoever added the position"
    COACHING_ANSWER = "the player whom a coach asked; the coach may withdraw"


# Name of the address -> method -> right. HEAD follows GET; OPTIONS is open to anyone.
ADDRESSES: Mapping[str, Mapping[str, Right]] = {
    # The site.
    "home": {"GET": Right.ANYONE},
    "healthz": {"GET": Right.ANYONE},
    "sign-in": {"GET": Right.ANYONE, "POST": Right.ANYONE},
    "sign-out": {"POST": Right.ANYONE},
    "password_change": {"GET": Right.SIGNED_IN, "POST": Right.SIGNED_IN},
    "password_change_done": {"GET": Right.SIGNED_IN},
    "javascript-catalog": {"GET": Right.ANYONE},
    "docs": {"GET": Right.ANYONE},
    "docs-rulings": {"GET": Right.ANYONE},
    "docs-record": {"GET": Right.ANYONE},
    "docs-keys": {"GET": Right.ANYONE},
    "docs-simulator": {"GET": Right.ANYONE},
    "docs-diamonds": {"GET": Right.ANYONE},
    "docs-lines": {"GET": Right.ANYONE},
    "docs-practice": {"GET": Right.ANYONE},
    "docs-competitions": {"GET": Right.ANYONE},
    "docs-predictions": {"GET": Right.ANYONE},
    "docs-own-table": {"GET": Right.ANYONE},
    "docs-reports": {"GET": Right.ANYONE},
    # The pages of the scoring layer.
    "matches": {"GET": Right.ANYONE},
    "match-new": {"GET": Right.ARRANGE, "POST": Right.ARRANGE},
    "match": {"GET": Right.MATCH_READ},
    "match-score": {"GET": Right.MATCH_WRITE},
    "match-sheet": {"GET": Right.MATCH_READ},
    "match-result": {"GET": Right.MATCH_CORRECT, "POST": Right.MATCH_CORRECT},
    "match-protest": {"GET": Right.MATCH_WRITE, "POST": Right.MATCH_WRITE},
    "players": {"GET": Right.ANYONE},
    "player-new": {"GET": Right.ENROL, "POST": Right.ENROL},
    "player": {"GET": Right.PLAYER_READ},
    "player-report": {"GET": Right.REPORT_READ},
    "player-practise": {"GET": Right.REPORT_READ, "POST": Right.SESSION_WRITE},
    "player-against": {"GET": Right.REPORT_READ},
    "player-family": {"GET": Right.REPORT_READ},
    "player-edit": {"GET": Right.PLAYER_EDIT, "POST": Right.PLAYER_EDIT},
    "player-distances": {"GET": Right.REPORT_READ, "POST": Right.ORGANISE},
    "handicaps": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "handicaps-answer": {"POST": Right.ORGANISE},
    "competitions": {"GET": Right.ANYONE},
    "competition-standings": {"GET": Right.COMPETITION_READ},
    "competition-regulations": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-lot": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-prizes": {"GET": Right.COMPETITION_READ},
    "competition-new": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "competition": {"GET": Right.COMPETITION_READ},
    "competition-edit": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-publish": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-notice": {"POST": Right.COMPETITION_MANAGE},
    "competition-close": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-reopen": {"POST": Right.COMPETITION_MANAGE},
    "competition-verify": {"GET": Right.COMPETITION_READ},
    "competition-schedule": {"GET": Right.COMPETITION_READ},
    "competition-results": {"GET": Right.COMPETITION_READ},
    "competition-wall": {"GET": Right.COMPETITION_READ},
    "competition-permanent": {"GET": Right.COMPETITION_READ},
    "competition-permanent-part": {"GET": Right.COMPETITION_READ},
    "wall": {"GET": Right.ANYONE},
    "competition-day": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-call-list": {"GET": Right.COMPETITION_READ},
    "competition-entrants": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-entrant": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-stages": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-draw": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-drawn": {"GET": Right.COMPETITION_READ},
    "competition-bracket": {"GET": Right.COMPETITION_READ, "POST": Right.COMPETITION_MANAGE},
    "competition-groups": {"GET": Right.COMPETITION_READ, "POST": Right.COMPETITION_MANAGE},
    "competition-history": {"GET": Right.COMPETITION_MANAGE},
    "competition-links": {"GET": Right.COMPETITION_MANAGE, "POST": Right.COMPETITION_MANAGE},
    "competition-links-revoke": {"POST": Right.COMPETITION_MANAGE},
    "competition-teams": {"GET": Right.LEAGUE_READ, "POST": Right.LEAGUE_MANAGE},
    "competition-season": {"GET": Right.LEAGUE_MANAGE, "POST": Right.LEAGUE_MANAGE},
    "team": {"GET": Right.LEAGUE_READ, "POST": Right.LEAGUE_MANAGE},
    "encounter": {"GET": Right.LEAGUE_READ, "POST": Right.ENCOUNTER_WRITE},
    "encounter-sheet": {"GET": Right.LEAGUE_READ},
    "at-the-table": {"GET": Right.ANYONE, "POST": Right.ANYONE},
    "people": {"GET": Right.ORGANISE},
    "person-new": {"GET": Right.ADMINISTER, "POST": Right.ADMINISTER},
    "person": {"GET": Right.ORGANISE},
    "person-role": {"POST": Right.ADMINISTER},
    "person-player": {"POST": Right.ADMINISTER},
    "person-password": {"POST": Right.ADMINISTER},
    "person-access": {"POST": Right.ADMINISTER},
    "role-end": {"POST": Right.ADMINISTER},
    "regulations": {"GET": Right.ANYONE},
    "rule-set-new": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "rule-set-edit": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "discipline-new": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "discipline-edit": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "tables": {"GET": Right.ANYONE},
    "table-new": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "table-edit": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "rulings": {"GET": Right.ANYONE},
    "spots": {"GET": Right.ANYONE},
    "profile": {"GET": Right.SIGNED_IN},
    "practice": {"GET": Right.SIGNED_IN, "POST": Right.SIGNED_IN},
    "practice-session": {"GET": Right.SESSION_READ, "POST": Right.SESSION_WRITE},
    "practice-session-attempt": {"POST": Right.SESSION_WRITE},
    "practice-positions": {"GET": Right.SIGNED_IN, "POST": Right.SIGNED_IN},
    "practice-position-share": {"POST": Right.POSITION_EDIT},
    "practice-coach": {"POST": Right.COACH},
    "practice-coaching": {"POST": Right.COACHING_ANSWER},
    "practice-player": {"GET": Right.COACH, "POST": Right.COACH},
    # The pages of the analytics layer.
    "aim": {"GET": Right.ANYONE},
    "match-positions": {"GET": Right.MATCH_READ},
    "match-story": {"GET": Right.MATCH_READ},
    "stroke": {"GET": Right.ANYONE},
    "diamonds": {"GET": Right.ANYONE},
    "diamonds-checked": {"GET": Right.ANYONE},
    "diamond-exercise": {"GET": Right.ANYONE},
    "doubts": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "predictions": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "calibration": {"GET": Right.ORGANISE},
    "coach": {"GET": Right.COACH},
    "season": {"GET": Right.ANYONE},
    "player-calibration": {"GET": Right.REPORT_READ},
    "table-calibration": {"GET": Right.ORGANISE},
    "table-measure": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "table-measured": {"GET": Right.ANYONE},
    "table-measured-act": {"POST": Right.ORGANISE},
    "schema": {"GET": Right.ANYONE},
    "api-docs": {"GET": Right.ANYONE},
    # The API of the scoring layer.
    "api-rulings": {"POST": Right.ANYONE},
    "api-players": {"GET": Right.ANYONE, "POST": Right.ENROL},
    "api-player": {"GET": Right.PLAYER_READ, "PATCH": Right.PLAYER_EDIT},
    "api-player-report": {"GET": Right.REPORT_READ},
    "api-player-practise": {"GET": Right.REPORT_READ},
    "api-player-against": {"GET": Right.REPORT_READ},
    "api-player-family": {"GET": Right.REPORT_READ},
    "api-match-story": {"GET": Right.MATCH_READ},
    "api-tables": {"GET": Right.ANYONE, "POST": Right.ORGANISE},
    "api-table": {"GET": Right.ANYONE, "PATCH": Right.ORGANISE},
    "api-competitions": {"GET": Right.ANYONE, "POST": Right.ORGANISE},
    "api-competition": {"GET": Right.COMPETITION_READ, "PATCH": Right.COMPETITION_MANAGE},
    "api-competition-standings": {"GET": Right.COMPETITION_READ},
    "api-competition-prizes": {"GET": Right.COMPETITION_READ},
    "api-competition-schedule": {"GET": Right.COMPETITION_READ},
    "api-competition-results": {"GET": Right.COMPETITION_READ},
    "api-competition-close": {"POST": Right.COMPETITION_MANAGE},
    "api-competition-reopen": {"POST": Right.COMPETITION_MANAGE},
    "api-competition-verify": {"GET": Right.COMPETITION_READ},
    "api-competition-teams": {"GET": Right.LEAGUE_READ, "POST": Right.LEAGUE_MANAGE},
    "api-competition-encounters": {"GET": Right.LEAGUE_READ},
    "api-competition-season": {"GET": Right.LEAGUE_READ, "POST": Right.LEAGUE_MANAGE},
    "api-team": {"GET": Right.LEAGUE_READ, "PATCH": Right.LEAGUE_MANAGE},
    "api-encounter": {"GET": Right.LEAGUE_READ, "POST": Right.ENCOUNTER_WRITE},
    "api-competition-day": {"GET": Right.COMPETITION_READ, "POST": Right.COMPETITION_MANAGE},
    "api-competition-draw": {"GET": Right.COMPETITION_READ, "POST": Right.COMPETITION_MANAGE},
    "api-competition-entrants": {"GET": Right.COMPETITION_READ, "POST": Right.COMPETITION_MANAGE},
    "api-competition-entries": {"GET": Right.COMPETITION_READ},
    "api-table-links": {"GET": Right.LINK, "POST": Right.LINK},
    "api-table-link": {"DELETE": Right.COMPETITION_MANAGE},
    "api-table-link-enter": {"POST": Right.ANYONE},
    "api-handicaps": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "api-handicap-proposals": {"GET": Right.ORGANISE, "POST": Right.ORGANISE},
    "api-handicap-answer": {"POST": Right.ORGANISE},
    "api-matches": {"GET": Right.ANYONE, "POST": Right.ARRANGE},
    "api-match": {"GET": Right.MATCH_READ},
    "api-match-innings": {"GET": Right.MATCH_READ},
    "api-match-entries": {"GET": Right.MATCH_READ, "POST": Right.MATCH_WRITE},
    "api-match-preview": {"POST": Right.MATCH_WRITE},
    "api-match-pen": {
        "GET": Right.MATCH_WRITE,
        "POST": Right.MATCH_WRITE,
        "DELETE": Right.MATCH_WRITE,
    },
    "api-sessions": {"GET": Right.SIGNED_IN, "POST": Right.SIGNED_IN},
    "api-session": {"GET": Right.SESSION_READ, "PATCH": Right.SESSION_WRITE},
    "api-session-attempts": {"GET": Right.SESSION_READ, "POST": Right.SESSION_WRITE},
    "api-positions": {"GET": Right.SIGNED_IN, "POST": Right.SIGNED_IN},
    "api-position": {"GET": Right.POSITION_READ, "PATCH": Right.POSITION_EDIT},
    "api-coachings": {"GET": Right.SIGNED_IN, "POST": Right.COACH},
    "api-coaching-agree": {"POST": Right.COACHING_ANSWER},
    "api-coaching-withdraw": {"POST": Right.COACHING_ANSWER},
    "api-assignments": {"GET": Right.SIGNED_IN, "POST": Right.COACH},
    "api-tokens": {"GET": Right.SIGNED_IN, "POST": Right.SIGNED_IN},
    "api-token": {"DELETE": Right.SIGNED_IN},
    # The API of what is computed.
    "api-aim": {"POST": Right.ANYONE},
    "api-aim-leaves": {"POST": Right.ANYONE},
    "api-aim-stray": {"POST": Right.ANYONE},
    "api-doubts": {"GET": Right.ORGANISE},
    "api-diamonds": {"POST": Right.ANYONE},
    "api-shots": {"POST": Right.ANYONE},
    "api-calibration": {"GET": Right.ORGANISE},
    "api-coach": {"GET": Right.COACH},
    "api-season": {"GET": Right.ANYONE},
    "api-player-calibration": {"GET": Right.REPORT_READ},
    "api-table-calibration": {"GET": Right.ORGANISE},
    "api-table-measured": {"GET": Right.ANYONE},
}

# Addresses about a competition -> the part of it that they show: shut to outsiders until it is published.
PARTS: Mapping[str, str] = {
    "competition-standings": "standings",
    "api-competition-standings": "standings",
    "competition-schedule": "schedule",
    "api-competition-schedule": "schedule",
    "competition-call-list": "schedule",
    "api-competition-day": "schedule",
    "competition-results": "results",
    "api-competition-results": "results",
    "competition-bracket": "bracket",
    "competition-groups": "bracket",
    "competition-drawn": "bracket",
    "api-competition-draw": "bracket",
    "competition-prizes": "prizes",
    "api-competition-prizes": "prizes",
}
