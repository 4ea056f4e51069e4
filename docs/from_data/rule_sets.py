"""Rule sets for ropes, and printed limits: each figure with clause and how well it is confirmed."""

from __future__ import annotations

from collections.abc import Iterator

from docs.from_data.markdown import (
    CAUTION,
    bullets,
    capital,
    code,
    joined,
    plain,
    source_words,
    table,
    target,
)  # fmt: skip
from rigging.engine import Criterion, RuleSet, Source, confirmable, load_rulesets
from rigging.engine.limit_set_files import load_limit_sets
from rigging.engine.limit_sets import LimitSet, PrintedLimit
from rigging.queries.printed_tables import ShownTable, shown_tables


def pages() -> dict[str, str]:
    return {
        "rule-sets": joined(_rule_sets()),
        "printed-limits": joined(_printed_limits()),
    }


def _rule_sets() -> Iterator[str]:
    found = load_rulesets()
    off = sum(len(confirmable(rules)) for rules in found.values())
    yield "# Rule sets for ropes"
    yield (
        f"{len(found)} rule sets; {off} of their figures are switched off, because no document that we "
        "read confirms them, until a named person has the document in hand. A rule set is one file in "
        "`rigging/rulesets/` ([Adding a rule set](../adding-a-rule-set.md)); how it decides is "
        "[written exactly](../engine.md). The venue chooses which are in force, with a reason."
    )
    yield CAUTION
    yield table(
        ("Rule set", "Edition", "Where", "Criteria", "Switched off"),
        [
            (f"[{plain(rules.title)}](#rules-{slug})", plain(rules.edition),
             plain(rules.jurisdiction), str(len(rules.criteria)), str(len(confirmable(rules)) or ""))
            for slug, rules in found.items()
        ],
    )  # fmt: skip
    for rules in found.values():
        yield joined(_rule_set(rules))


def _rule_set(rules: RuleSet) -> Iterator[str]:
    yield target(f"rules-{rules.slug}")
    yield f"## {plain(rules.title)}"
    yield (
        f"{plain(capital(rules.edition))}. The document: {plain(rules.status)}. "
        f"{plain(rules.jurisdiction)}. Short name: {code(rules.slug)}."
    )
    yield plain(rules.applies_to)
    if rules.caution:
        yield plain(rules.caution)
    if rules.incomplete:
        yield (
            f"**Never passes a rope by itself**, because of {plain(rules.incomplete.rstrip('.'))}."
        )
    yield table(
        ("Clause", "Criterion", "Limit", "Then", "Confirmed"),
        [_criterion(e) for e in rules.criteria],
    )
    for each in shown_tables(rules):
        yield joined(_table(each))
    yield _backing(rules)


def _criterion(criterion: Criterion) -> tuple[str, ...]:
    then = str(criterion.outcome) + (f"; asks: {criterion.asks}" if criterion.asks else "")
    return (
        plain(criterion.clause), plain(criterion.words), plain(criterion.limit_in_words), plain(then),
        _confirmed(criterion),
    )  # fmt: skip


def _confirmed(figure: Criterion | PrintedLimit) -> str:
    if figure.off:
        return f"**Switched off:** {plain(figure.off)}"
    return plain(figure.verified)


def _table(shown: ShownTable) -> Iterator[str]:
    yield f"Table: {plain(shown.title)}"
    if shown.notes:
        yield bullets(map(plain, shown.notes))
    rows = [(plain(key), *(plain(cell) for cell in cells)) for key, cells in shown.rows]
    yield table((plain(shown.key), *map(plain, shown.columns)), rows)


def _backing(rules: RuleSet | LimitSet) -> str:
    sources = rules.sources if isinstance(rules, RuleSet) else _sources_of(rules)
    rows = [(source_words(source), source.backing, plain(source.note)) for source in sources]
    return table(("Source", "Backed by", "Note"), rows)


def _sources_of(limits: LimitSet) -> tuple[Source, ...]:
    return tuple(dict.fromkeys(limit.source for limit in limits.limits))


def _printed_limits() -> Iterator[str]:
    yield "# Printed limits"
    yield (
        "Of lifts, beam detectors, ways aloft, brakes and hoists: single figures that documents print. "
        "A check of a regime that repeats one is held to it. The files are in `rigging/rulesets/limits/`."
    )
    yield CAUTION
    for limits in load_limit_sets().values():
        yield f"## {plain(limits.title)}"
        yield f"{plain(limits.jurisdiction)}. {plain(limits.applies_to)}"
        yield table(
            ("Limit", "Figure", "A fail", "Document and clause", "Confirmed"),
            [
                (f"{plain(limit.words)}<br>{code(f'{limits.slug}:{limit.slug}')}",
                 plain(limit.limit_text), str(limit.outcome),
                 f"{plain(limit.source.document)}, {plain(limit.clause)}", _confirmed(limit))
                for limit in limits.limits
            ],
        )  # fmt: skip
        yield _backing(limits)
