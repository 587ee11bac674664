"""Pages of what was worked out rather than counted."""
