"""The rows of the scoring layer, as one package."""

from .base import Identified, hash_secret, new_secret
from .club import Club, Membership, Role
from .competitions import Competition, Encounter, Group, Rounding, SquadMember, Stage, Team
from .devices import PEN_LAPSE, ApiToken, Pen, TableLink
from .events import (
    CompetitionEntry,
    CompetitionProjection,
    CompetitionText,
    EncounterSums,
    StandingSums,
)
from .handicaps import HandicapDistance, HandicapProposal
from .ledger import Authored, EntryText, ImportBatch, LedgerEntry, MatchEntry, RefusedEntry
from .matches import Match
from .players import ExternalNumber, Player, PlayerMerge, PlayerName, search_key
from .practice import (
    Assignment,
    Attempt,
    Coaching,
    PracticeEntry,
    PracticePosition,
    PracticeSession,
)
from .projections import Colour, ColourProjection, MatchProjection, StrokeProjection
from .regulations import OwnDiscipline, OwnRuleSet
from .venues import PlayTable

__all__ = [
    "PEN_LAPSE",
    "ApiToken",
    "Assignment",
    "Attempt",
    "Authored",
    "Club",
    "Coaching",
    "Colour",
    "ColourProjection",
    "Competition",
    "CompetitionEntry",
    "CompetitionProjection",
    "CompetitionText",
    "Encounter",
    "EncounterSums",
    "EntryText",
    "ExternalNumber",
    "Group",
    "HandicapDistance",
    "HandicapProposal",
    "Identified",
    "ImportBatch",
    "LedgerEntry",
    "Match",
    "MatchEntry",
    "MatchProjection",
    "Membership",
    "OwnDiscipline",
    "OwnRuleSet",
    "Pen",
    "PlayTable",
    "Player",
    "PlayerMerge",
    "PlayerName",
    "PracticeEntry",
    "PracticePosition",
    "PracticeSession",
    "RefusedEntry",
    "Role",
    "Rounding",
    "SquadMember",
    "Stage",
    "StandingSums",
    "StrokeProjection",
    "TableLink",
    "Team",
    "hash_secret",
    "new_secret",
    "search_key",
]
