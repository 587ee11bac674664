"""Aiming: what the numbers on the rails say. Pure: no framework."""
