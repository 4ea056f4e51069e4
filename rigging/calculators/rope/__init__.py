"""Calculators of ropes, their ends, sheaves and drums. Pure."""
