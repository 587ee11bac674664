"""What was played, read from the rows of the ledger: asked (which of it), packing (strokes as records),
reading (a player's matches and strokes as arrays)."""
