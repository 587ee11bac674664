"""One match as a fold: entries in, state out.

`setup` says what was agreed before the first stroke, `entry` what may be written,
`book` where each entry stands once corrections are resolved, `play` what an entry
does to the score, `ends` when a set and the match end, `checks` what is refused,
`preview` what a correction would change, `shown` what the outside reads.
"""
