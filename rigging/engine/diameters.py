"""Loss of rope diameter from pairs of readings. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.engine.bounds import Bounds
from rigging.engine.observation import RopeObservation
from rigging.engine.rope import FACT_WORDS, RopeFacts

MISSING_READINGS = "the rope's diameter at its worst place, read twice at right angles"


def smallest_diameter(seen: RopeObservation) -> Fraction | None:
    """The smallest measured diameter in metres: the mean of two readings at right angles.

    Source: ISO 4309:2017, 3.2 (measured diameter), as extracted in two documents.
    """
    means = [(pair.a.si + pair.b.si) / 2 for pair in seen.diameters]
    return min(means) if means else None


def diameter_loss(rope: RopeFacts, seen: RopeObservation, reference: str, absolute: bool) -> Bounds:
    """The loss of diameter at the worst place, with the doubt of the instrument.

    Formula: (d_ref - d) / d_ref for "nominal" and "baseline"; (d_base - d) / d_nominal for
    "baseline_over_nominal"; d_ref - d where the limit is a length (`absolute`).
    Units: a fraction, or metres. Limits: a uniform loss; an instrument's uncertainty moves the
    mean by at most itself; without a stated uncertainty the reading is compared as read.
    Sources: 29 CFR 1926.1413(a)(2)(ii)(B); 30 CFR 56.19024(g); the ISO form from memory.

    >>> from rigging.engine.observation import DiameterPair
    >>> from venue.quantities import read_quantity
    >>> quarter, worn = (read_quantity(text, "length") for text in ("1/4 in", "0.2375 in"))
    >>> seen = RopeObservation(diameters=(DiameterPair(worn, worn),))
    >>> diameter_loss(RopeFacts(nominal_diameter=quarter), seen, "nominal", False).low
    Fraction(1, 20)
    """
    start, per = _references(rope, reference)
    smallest = smallest_diameter(seen)
    missing: tuple[str, ...] = () if smallest else (MISSING_READINGS,)
    missing += _missing_references(rope, reference)
    if smallest is None or start is None or per is None:
        # Nothing is known, not even the sign: the range is open on both sides.
        return Bounds(Fraction(-1_000_000), None, missing)
    scale = Fraction(1) if absolute else per
    doubt = seen.instrument_uncertainty.si if seen.instrument_uncertainty else Fraction(0)
    loss = (start - smallest) / scale
    return Bounds(
        loss - doubt / scale,
        loss + doubt / scale,
        _doubt_words(seen) if doubt else (),
        () if seen.instrument_uncertainty else ("No instrument uncertainty stated: as read.",),
        reading=loss,
    )


def diameter_at_loss(
    rope: RopeFacts, reference: str, loss: Fraction, absolute: bool
) -> Fraction | None:
    """The diameter at which `diameter_loss` comes to this loss; None where a diameter that it is
    measured against is not known.

    Formula: d_ref - loss x d_ref, d_base - loss x d_nominal, or d_ref - loss. Units: metres.
    Limits and sources: those of `diameter_loss`.

    >>> from venue.quantities import read_quantity
    >>> rope = RopeFacts(nominal_diameter=read_quantity("10 mm", "length"))
    >>> diameter_at_loss(rope, "nominal", Fraction(5, 100), False)
    Fraction(19, 2000)
    """
    start, per = _references(rope, reference)
    if start is None or per is None:
        return None
    return start - loss * (Fraction(1) if absolute else per)


def _doubt_words(seen: RopeObservation) -> tuple[str, ...]:
    stated = seen.instrument_uncertainty
    typed = stated.typed if stated else ""
    return (f"a finer reading: the limit lies within the instrument's uncertainty of {typed}",)


def _references(rope: RopeFacts, reference: str) -> tuple[Fraction | None, Fraction | None]:
    nominal = rope.nominal_diameter.si if rope.nominal_diameter else None
    baseline = rope.baseline_diameter.si if rope.baseline_diameter else None
    start = nominal if reference == "nominal" else baseline
    return start, nominal if reference == "baseline_over_nominal" else start


def _missing_references(rope: RopeFacts, reference: str) -> tuple[str, ...]:
    needed = {
        "nominal": ("nominal_diameter",),
        "baseline": ("baseline_diameter",),
        "baseline_over_nominal": ("baseline_diameter", "nominal_diameter"),
    }
    return tuple(FACT_WORDS[fact] for fact in needed[reference] if getattr(rope, fact) is None)
