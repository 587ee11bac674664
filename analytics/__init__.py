"""What it means: reports, charts, aim."""
