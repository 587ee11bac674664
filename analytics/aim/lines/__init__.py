"""Lines: the distinct ways to make the point from a layout, and how likely each is.

`search.find_lines` is the one door. A line is told apart by family, first object ball and
first rail. Success is measured under the execution error of `errors`, always with errors
that had no part in choosing the line. Everything here is an estimate of a simulated table.
"""
