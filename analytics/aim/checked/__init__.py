"""The arithmetic of the diamonds beside what the simulated table does with the same strokes.

`tracks` says which tracks are played and how, `playing` plays them, `trust` says where the
numbers can be trusted. Answers depend on the system and the parameters of the table alone.
"""
