"""Calculators about the house around the rigging: detectors, slopes, falls, outages. Pure."""
