"""The geometry of a drum: turns, layers, lengths and pulls. Pure.

Layers are taken to lie right on top of each other, each adding one rope diameter to the radius. A
rope that beds into the grooves below winds on smaller diameters: less rope than computed here.
"""

from __future__ import annotations

import math
from fractions import Fraction


def layer_diameter(barrel: Fraction, rope: Fraction, layer: int) -> Fraction:
    """Diameter to the middle of the rope in a layer: `D + (2i − 1) × d`, all in one unit.

    Source: drum winding formulas. Limits: layers right on top of each other.

    >>> layer_diameter(Fraction(10), Fraction(1, 2), 10)
    Fraction(39, 2)
    """
    return barrel + (2 * layer - 1) * rope


def turns_a_layer(face: Fraction, pitch: Fraction) -> int:
    """Whole turns that lie beside each other: `floor(face ÷ pitch)`. Geometry.

    >>> turns_a_layer(Fraction(12), Fraction(1, 2))
    24
    """
    return math.floor(face / pitch)


def rope_length(barrel: Fraction, rope: Fraction, turns: int, layers: int) -> float:
    """Rope on a full drum: `Σ π × turns × (D + (2i − 1) × d)` over the layers, in the unit given.

    Source: drum winding formulas. Limits: as `layer_diameter`.

    >>> round(rope_length(Fraction(10), Fraction(1, 2), 24, 10) / 12, 1)
    942.5
    """
    diameters = sum(layer_diameter(barrel, rope, layer) for layer in range(1, layers + 1))
    return math.pi * turns * float(diameters)


def turns_for(travel: Fraction, barrel: Fraction, rope: Fraction) -> float:
    """Turns that a travel takes in the first layer: `travel ÷ (π × (D + d))`, one unit. Geometry.

    >>> round(turns_for(Fraction(20), Fraction(3, 10), Fraction(6, 1000)), 1)
    20.8
    """
    return float(travel) / (math.pi * float(barrel + rope))


def layer_pull(first: Fraction, barrel: Fraction, rope: Fraction, layer: int) -> Fraction:
    """Pull in a layer at the drum's same torque: `P1 × (D + d) ÷ (D + (2i − 1) × d)`.

    Source: drum winding formulas. Limits: as `layer_diameter`; the torque is the same.

    >>> round(float(layer_pull(Fraction(1000), Fraction(10), Fraction(1, 2), 10)), 1)
    538.5
    """
    return first * layer_diameter(barrel, rope, 1) / layer_diameter(barrel, rope, layer)
