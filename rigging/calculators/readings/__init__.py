"""Calculators about readings and what can be said from them. Pure."""
