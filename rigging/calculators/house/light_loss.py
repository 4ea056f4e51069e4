"""Smoke in a light beam: total loss, loss per length, optical density, decibels. Pure.

Losses are shares of one (0.25 is 25 %), lengths in metres.
"""

from __future__ import annotations

import math
from fractions import Fraction

FOOT = Fraction(3048, 10_000)


def total_from_rate(rate: float, per: Fraction, path: Fraction) -> float:
    """Total loss over a path from the loss over one length: `1 − (1 − p)^(path ÷ per)`.

    `per`: the length of the rate (1 for per metre, 0.3048 for per foot).
    Limits: even smoke along the whole path, 0 ≤ rate < 1. Never `rate × path`: that passes 100 %.
    Source: Beer and Lambert; transmittance as in IEC 60050-845.

    >>> round(100 * total_from_rate(0.005, FOOT, 250 * FOOT), 3)
    71.439
    """
    return -math.expm1(math.log1p(-rate) * float(path / per))


def rate_from_total(total: float, per: Fraction, path: Fraction) -> float:
    """Loss over one length from the total over a path: `1 − (1 − total)^(per ÷ path)`.

    Units and limits as `total_from_rate`; 0 ≤ total < 1.

    >>> round(100 * rate_from_total(0.25, FOOT, 30 * FOOT), 5)
    0.95436
    """
    return -math.expm1(math.log1p(-total) * float(per / path))


def density_from_total(total: float) -> float:
    """Optical density of the whole path: `−log10(1 − total)`.

    Source: IEC 60050-845, transmittance optical density D = −log10 τ.

    >>> round(density_from_total(0.5), 5)
    0.30103
    """
    return -math.log1p(-total) / math.log(10)


def decibels_from_total(total: float) -> float:
    """Loss in decibels of power: `10 × D`.

    Limits: power decibels, 10·log10, as light is measured; a datasheet that means amplitude
    (20·log10) prints twice the figure: ask its maker. Source: from memory for the convention.

    >>> round(decibels_from_total(0.35), 6)
    1.870866
    """
    return 10 * density_from_total(total)


def total_from_decibels(decibels: float) -> float:
    """Total loss from power decibels: `1 − 10^(−dB ÷ 10)`. Limits as `decibels_from_total`.

    >>> round(100 * total_from_decibels(1.5), 4)
    29.2054
    """
    return -math.expm1(-decibels / 10 * math.log(10))
