"""The conditions an inspector looks for, with their words. A closed list. Pure."""

from __future__ import annotations

CONDITIONS = {
    "broken_strand": "a broken strand",
    "distortion": "a kink, crushing, a birdcage, unstranding or another distortion",
    "core_protrusion": "core pushing out between the strands",
    "corrosion": "rust or pitting",
    "heat_damage": "heat or arc damage",
    "power_line_contact": "contact with a power line at any time",
    "end_connection_damaged": "an end connection that is cracked, bent, worn or corroded",
    "end_connection_improper": "an end connection that is put on wrongly",
    "outer_wires_worn": "outer wires worn away by a third of their diameter or more",
    # Finer words for distortion: one of them seen is distortion seen.
    "kink": "a kink",
    "crushing": "crushing",
    "birdcage": "a birdcage",
    "unstranding": "unstranding",
    # Finer words for corrosion, by its grade.
    "corrosion_surface": "rust on the surface that wipes off",
    "corrosion_rough": "wires rough to the touch from corrosion",
    "corrosion_pitted": "heavily pitted or slack wires from corrosion",
}
KINDS_OF_DISTORTION = ("kink", "crushing", "birdcage", "unstranding")
KINDS_OF_CORROSION = ("corrosion_surface", "corrosion_rough", "corrosion_pitted")
FINER = {"distortion": KINDS_OF_DISTORTION, "corrosion": KINDS_OF_CORROSION}
WHOLE_OF = {finer: whole for whole, kinds in FINER.items() for finer in kinds}
OTHER_NAMES = {
    "heat": "heat_damage",
    "end_fitting_damaged": "end_connection_damaged",
    "end_fitting_improper": "end_connection_improper",
}
