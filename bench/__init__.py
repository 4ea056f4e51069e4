"""Measurements and pictures, taken from a demo house of their own that is gone afterwards."""
