"""The diamond systems: the trade's arithmetic for aiming off the marks on the rails.

One door, `systems.answer`: a `Question` in, an `Answer` out. Numbers are whole diamonds
(5, not 50). Points are places on the nose line, in diamonds from the bottom-left corner,
x 0 to 4 and y 0 to 8. A mark is the inlay on the frame behind the nose.

Each step says where it comes from: S a published source, D derived here.
"""
