"""How dates and times are written, where a language has no way of its own."""
