"""What the reports compute: small pure modules, arrays and dataclasses in, frozen dataclasses out.

Nothing here knows a database or a page. A stroke succeeds with probability p; S points, M misses,
n innings; a = S/M is "points per miss", p/(1-p) where every stroke has the same p. The official
average is S/n. An inning that the distance cut off is no miss.
"""
