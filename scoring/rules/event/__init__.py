"""A competition as a fold over its ledger: who entered, what was drawn, what happened on the day.

`kinds` is the one door: it knows every kind of entry, reads what was sent, and folds. Each other
module holds the kinds of one subject and the part of the state that is theirs alone. The state is a
JSON value, so that it is stored as it is; ids of players, matches, tables, stages and teams stand
in it as numbers, and as texts where they are keys.
"""
