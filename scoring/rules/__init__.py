"""The rules of the game, in pure Python: importable alone, without Django."""
