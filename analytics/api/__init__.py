"""What is computed, through the API; nothing here writes what happened."""
