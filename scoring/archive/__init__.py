"""The whole club as one file, and back: a zip of JSON lines, a member a kind of row.

shapes: which rows, in which order, and a row <-> JSON; writing: the club -> a file; reading: a file -> an
empty database, proved on the way. The file is documented in the manifest and on /docs/competitions/.
"""
