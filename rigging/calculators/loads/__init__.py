"""Calculators of loads: counterweight, lines and blocks, winches, lifts and brakes. Pure."""
