"""Regimes: how often, who, each check with its limit and source, and what a fail does."""

from __future__ import annotations

from collections.abc import Iterator

from docs.from_data.markdown import (
    CAUTION,
    capital,
    code,
    joined,
    plain,
    source_words,
    table,
    target,
)  # fmt: skip
from inspections.calendar_rules import interval_words
from inspections.models.finding import Grade
from inspections.regime_files import Check, Regime, Source, regimes
from venue.kind_files import in_words, kinds, part_kinds
from venue.models import Competence

TRIGGERS = {"before_use": "before each use", "event": "after what its title names"}
COUNTINGS = {
    "from_last_done": "counted from the day it was last done",
    "anchored": "counted from a fixed day",
}
ANSWERS = {
    "yes_no": "yes or no", "measured": "a measured value", "count": "a count", "choice": "a choice",
    "text": "words", "photo": "a photograph", "rope": "a rope observation",
}  # fmt: skip
PLACES = {
    "field": "a field of the equipment",
    "part": "a field of the part",
    "load": "a rated load",
}


def pages() -> dict[str, str]:
    """One page for each family or kind that regimes are written for, and one that lists all."""
    groups: dict[str, list[Regime]] = {}
    for regime in regimes().values():
        groups.setdefault((regime.families or regime.kinds)[0], []).append(regime)
    made = {
        f"regimes-of-{slug.replace('_', '-')}": joined(_page(slug, found))
        for slug, found in sorted(groups.items())
    }
    return {"regimes": joined(_index(groups, list(made))), **made}


def _index(groups: dict[str, list[Regime]], made: list[str]) -> Iterator[str]:
    checks = sum(len(regime.checks) for regime in regimes().values())
    yield "# Regimes"
    yield (
        f"{len(regimes())} regimes with {checks} checks. A regime is one file in `inspections/regimes/` "
        "([Adding a regime](../adding-a-regime.md)). A venue applies those that it needs; the "
        "interval of a rule is the longest that it allows."
    )
    yield CAUTION
    yield "```{toctree}\n:hidden:\n\n" + "\n".join(made) + "\n```"
    for slug, found in sorted(groups.items()):
        yield f"## {_group_words(slug)}"
        yield table(
            ("Regime", "When", "Who", "Checks"),
            [
                (f"[{plain(regime.title)}](#regime-{regime.slug})", _when(regime), _level(regime),
                 str(len(regime.checks)))
                for regime in found
            ],
        )  # fmt: skip


def _group_words(slug: str) -> str:
    kind = kinds().get(slug)
    return plain(kind.label("en-US") if kind else capital(in_words(slug)))


def _page(slug: str, found: list[Regime]) -> Iterator[str]:
    yield f"# Regimes: {_group_words(slug)}"
    yield CAUTION
    for regime in found:
        yield joined(_regime(regime))


def _regime(regime: Regime) -> Iterator[str]:
    yield target(f"regime-{regime.slug}")
    yield f"## {plain(regime.title)}"
    yield f"{capital(_when(regime))}, by: {_level(regime)}. {_for_what(regime)} {_counting(regime)}"
    if regime.jurisdiction:
        yield f"Where it applies: {plain(regime.jurisdiction)}"
    yield table(
        ("Check", "Answer", "Limit", "A fail", "Source"), [_check(check) for check in regime.checks]
    )
    rows = [(source_words(source), source.verified, _address(source)) for source in regime.sources]
    yield table(("Source", "How well it is backed", "Where"), rows)


def _when(regime: Regime) -> str:
    return interval_words(regime.interval) if regime.interval else TRIGGERS[regime.trigger]


def _level(regime: Regime) -> str:
    return str(Competence.Level(regime.level).label).lower()


def _for_what(regime: Regime) -> str:
    known = kinds()
    who = [
        f"[{plain(known[slug].label('en-US'))}](#kind-{slug})"
        for slug in known
        if slug in regime.kinds or known[slug].family in regime.families
    ]
    only = ""
    if regime.variant:
        values = " or ".join(map(in_words, regime.variant.values))
        only = f", where {code(regime.variant.field)} is {plain(values)} or not known"
    return f"For: {', '.join(who)}{only}. Short name: {code(regime.slug)}."


def _counting(regime: Regime) -> str:
    if not regime.interval_source:
        return ""
    source = regime.interval_source
    return (
        f"{capital(COUNTINGS[regime.counting])}; the interval is from {source_words(source)} "
        f"({source.verified})."
    )


def _check(check: Check) -> tuple[str, ...]:
    each = (
        f" (each {part_kinds()[check.part_kind].label('en-US').lower()})" if check.part_kind else ""
    )
    answer = ANSWERS[check.answer]
    if check.choices:
        answer = " / ".join(map(in_words, check.choices))
    photo = (
        f"; photograph {check.photo}" if check.photo != "none" and check.answer != "photo" else ""
    )
    fail = str(Grade(check.on_fail).label)
    if check.out_of_service:
        fail += "; **out of service at once**"
    return (
        plain(check.question + each), plain(answer + photo), plain(_limit(check)),
        fail + (f". {plain(check.fail_note)}" if check.fail_note else ""),
        f"{_document_and_clause(check.source)} ({check.source.verified})",
    )  # fmt: skip


def _document_and_clause(source: Source) -> str:
    return plain(", ".join(part for part in (source.document, source.clause) if part))


def _limit(check: Check) -> str:
    places = [place.partition(":") for place in check.limits_from]
    own = "; ".join(f"{PLACES[place]}: {in_words(name)}" for place, _, name in places)
    if check.limit_of:
        own = "; ".join(part for part in (own, f"printed limit {check.limit_of}") if part)
    return check.limit_text + (f" ({own})" if own else "")


def _address(source: Source) -> str:
    return f"<{source.address}>" if source.address.startswith("http") else plain(source.address)
