"""Reading lists of players, results and innings out of files, before anything is written.

table: bytes -> heads and rows; columns: which column holds what; values: single cells; drafts: rows ->
what would be made, and what is to be mended by row and column; sheets: a match -> entries of its ledger.
"""
