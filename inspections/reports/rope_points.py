"""Read what the frozen record says of one rope on one day: figures for a table and for a curve. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from inspections.reports import words
from inspections.reports.matter import Count, RopePoint, Verdict
from inspections.reports.record_reading import quantity_words, window_words
from rigging.engine import RuleSet
from rigging.engine.conditions import CONDITIONS

Body = Mapping[str, Any]
RuleSets = Mapping[str, RuleSet]
WIRES = "broken_wires"
LOSS = "diameter_loss"


@dataclass(frozen=True)
class Looked:
    """Which record, of which day, by whom."""

    on: str
    by: str
    competence: str
    record: str
    sha256: str


@dataclass(frozen=True)
class _Limit:
    figure: Fraction
    by: str


def rope_point(looked: Looked, said: Body, rules: RuleSets) -> RopePoint:
    """`rules`: the rule sets as they are now; one that changed since the record draws no limit."""
    seen, rope = said.get("observation") or {}, said.get("rope") or {}
    least, limit = _least_mm(seen), _diameter_limit(said, rope, rules)
    value, most = _pressing(said, rules)
    return RopePoint(
        on=looked.on, by=looked.by, competence=looked.competence, record=looked.record,
        record_sha256=looked.sha256, state=str(said.get("state") or "not judged"),
        diameters=tuple(_pair(each) for each in seen.get("diameters") or ()),
        least_mm=decimal_text(least), limit_mm=decimal_text(limit.figure) if limit else "",
        limit_by=limit.by if limit else "",
        counts=tuple(_count(each) for each in seen.get("counts") or ()) or _listed(seen),
        pressing=decimal_text(value), pressing_limit=decimal_text(most.figure) if most else "",
        pressing_by=most.by if most else "",
        seen=tuple(CONDITIONS.get(name, name)
                   for name, found in (seen.get("conditions") or {}).items() if found),
        not_looked=_not_looked(said),
        instrument=str(seen.get("instrument") or ""),
        uncertainty=quantity_words(seen.get("instrument_uncertainty")),
        verdicts=tuple(verdict_of(each) for each in said.get("judgements") or ()),
    )  # fmt: skip


def verdict_of(said: Body) -> Verdict:
    """A judgement as its record has it, with the criterion that decided."""
    return Verdict(
        state=str(said.get("state") or ""), rule=str(said.get("title") or said.get("ruleset") or ""),
        edition=str(said.get("edition") or ""), clause=str(said.get("clause") or ""),
        words=str(said.get("words") or ""), value=str(said.get("value") or ""),
        limit=str(said.get("limit") or ""), margin=str(said.get("margin") or ""),
        missing=tuple(str(each) for each in said.get("missing") or ()),
        verified=str(said.get("verified") or ""),
    )  # fmt: skip


def decimal_text(figure: Fraction | None, places: int = 3) -> str:
    """A figure as a plain decimal of at most so many places, for a table or a curve.

    >>> decimal_text(Fraction(47, 8)), decimal_text(Fraction(1, 3)), decimal_text(None)
    ('5.875', '0.333', '')
    >>> decimal_text(Fraction(5)), decimal_text(Fraction(-1, 2)), decimal_text(Fraction(0))
    ('5', '-0.5', '0')
    """
    if figure is None:
        return ""
    whole = round(figure * 10**places)
    sign, digits = "-" if whole < 0 else "", f"{abs(whole):0{places + 1}d}"
    return (f"{sign}{digits[:-places]}.{digits[-places:]}").rstrip("0").rstrip(".")


def plain_number(text: str) -> Fraction | None:
    """A figure that stands alone; a range or words are none.

    >>> plain_number("6.65"), plain_number("2.08 %"), plain_number("between 0 and 3")
    (Fraction(133, 20), Fraction(13, 625), None)
    """
    bare, percent = text.removesuffix("%").strip(), text.endswith("%")
    try:
        figure = sum((Fraction(part) for part in bare.split()), Fraction(0)) if bare else None
    except ValueError:
        return None
    return figure / 100 if percent and figure is not None else figure


def _not_looked(said: Body) -> str:
    if said.get("given") in ("could_not_look", "not_applicable"):
        return f"{words.GIVEN[said['given']]}: {said.get('reason') or 'no reason given'}"
    return "" if said.get("observation") else "Nothing was measured"


def _pair(said: Body) -> str:
    both = [quantity_words(said.get(name)) for name in ("a", "b")]
    position = quantity_words(said.get("position"))
    return " × ".join(each for each in both if each) + (f" at {position}" if position else "")


def _least_mm(seen: Body) -> Fraction | None:
    """The mean of the smallest pair, as `rigging.engine.diameters` takes it, in millimetres."""
    means = [
        (Fraction(pair["a"]["si"]) + Fraction(pair["b"]["si"])) / 2 * 1000
        for pair in seen.get("diameters") or ()
        if pair.get("a") and pair.get("b")
    ]
    return min(means, default=None)


def _count(said: Body) -> Count:
    strand = said.get("in_one_strand")
    return Count(
        number=str(said.get("number", "")), window=window_words(said.get("window")),
        zone=words.ZONE.get(str(said.get("zone") or ""), "in all zones"),
        in_one_strand="" if strand is None else str(strand),
    )  # fmt: skip


def _listed(seen: Body) -> tuple[Count, ...]:
    wires = seen.get("broken_wires") or ()
    return (Count(str(len(wires)), "the whole rope, each listed", "in all zones", ""),) * bool(
        wires
    )


def _decided(said: Body, rules: RuleSets, indicator: str) -> list[tuple[Body, RuleSet, Any]]:
    """Criteria with a figure, of rule sets that are still the ones that judged."""
    found = []
    for judged in said.get("judgements") or ():
        ruleset = rules.get(str(judged.get("ruleset")))
        if ruleset is None or ruleset.hash != judged.get("hash"):
            continue
        criteria = {one.slug: one for one in ruleset.criteria if one.indicator == indicator}
        found += [
            (one, ruleset, criteria[one["slug"]])
            for one in judged.get("results") or ()
            if one.get("slug") in criteria and one.get("verdict") in ("met", "not met")
        ]
    return found


def _diameter_limit(said: Body, rope: Body, rules: RuleSets) -> _Limit | None:
    """How far the strictest rule lets the diameter come down, in millimetres."""
    limits = []
    for one, ruleset, criterion in _decided(said, rules, LOSS):
        lost, nominal = plain_number(str(one["limit"])), _mm(rope.get("nominal_diameter"))
        start = nominal if criterion.reference == "nominal" else _mm(rope.get("baseline_diameter"))
        per = nominal if criterion.reference == "baseline_over_nominal" else start
        if lost is None or start is None or per is None or not str(one["limit"]).endswith("%"):
            continue
        limits.append(_Limit(start - lost * per, f"{ruleset.title}, {one['clause']}"))
    return max(limits, key=lambda limit: limit.figure, default=None)


def _mm(stored: Body | None) -> Fraction | None:
    return Fraction(stored["si"]) * 1000 if stored else None


def _pressing(said: Body, rules: RuleSets) -> tuple[Fraction | None, _Limit | None]:
    """The count of broken wires that comes nearest to its limit, with that limit. Of several that
    are equally near, the one with the lowest limit."""
    found = []
    for one, ruleset, criterion in _decided(said, rules, WIRES):
        value, limit = plain_number(str(one["value"])), plain_number(str(one["limit"]))
        if value is None or not limit:
            continue
        by = f"{criterion.words} ({ruleset.title}, {one['clause']})"
        found.append((value / limit, -limit, value, _Limit(limit, by)))
    if not found:
        return None, None
    _, _, most_pressing, its_limit = max(found, key=lambda each: each[:2])
    return most_pressing, its_limit
