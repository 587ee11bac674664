"""A table measured by its own test strokes.

`strokes` is the guided set, `fitting.fit` the one door: readings in, the table's values with
intervals and its correction of the diamond numbers out, or a refusal in words.
"""
