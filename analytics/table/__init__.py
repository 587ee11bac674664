"""Three balls on a cloth: geometry, motion, impacts. Pure: no web framework.

Units inside are SI; axes x right, y up the table, z up; the origin is the bottom-left
corner of the nose lines. Kernels take plain floats and arrays and write into arrays they
are given; `parameters` is the one record of what they depend on.
"""
