"""Where words that people read stand in the data files, by the path of keys. Pure.

Every path of a text in these files is named here, as one of four sorts: a path that nobody thought
of is a fault, so that no new key is left out of the translations by silence.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class Place:
    """The files of a folder. `words` are read as they stand; `coded` with their underscores as
    spaces; `names` are documents and editions, which may stay as they are in any language.
    `other` are codes, figures, addresses and what no check and no report shows; a path that ends
    in a dot stands for everything below it."""

    files: str
    words: frozenset[str]
    coded: frozenset[str] = frozenset()
    names: frozenset[str] = frozenset()
    other: frozenset[str] = frozenset()


def _paths(text: str) -> frozenset[str]:
    return frozenset(text.split())


SOURCE = "source.key source.clause source.address source.verified source.backs"

PLACES = (
    Place(
        "inspections/regimes/*.toml",
        words=_paths(
            "title jurisdiction check.question check.instruction check.limit_text check.fail_note "
            "check.choices"
        ),
        names=_paths("source.document source.edition"),
        other=_paths(
            "slug families kinds level trigger interval interval_source counting early "
            "lawful_slack planned_before variant.field variant.is check.slug check.answer "
            "check.dimension check.unit_metric check.unit_us check.minimum check.maximum "
            "check.minimum_from check.maximum_from check.limit_of check.on_fail check.part_kind "
            "check.photo check.source " + SOURCE
        ),
    ),
    Place(
        "inspections/attention.toml",
        words=_paths("item.question item.choices item.why"),
        other=_paths("item.slug"),
    ),
    Place(
        "venue/kinds/*.toml",
        words=_paths(
            "labels.en-US labels.en-GB description group hazards field.label field.help "
            "rated_load.label rated_load.help part.label"
        ),
        coded=_paths("field.choices rated_load.purpose"),
        names=_paths("source.document source.edition"),
        other=_paths(
            "slug family access field.name field.type field.dimension field.unit_metric "
            "field.unit_us rated_load.dimension rated_load.unit_metric rated_load.unit_us "
            "part.kind " + SOURCE
        ),
    ),
    Place(
        "venue/kinds/parts/*.toml",
        words=_paths("labels.en-US labels.en-GB description field.label field.help"),
        coded=_paths("field.choices"),
        names=_paths("source.document source.edition"),
        other=_paths(
            "slug field.name field.type field.dimension field.unit_metric field.unit_us " + SOURCE
        ),
    ),
    Place(
        "rigging/rulesets/*.toml",
        words=_paths(
            "title status jurisdiction applies_to incomplete criterion.words criterion.action "
            "criterion.note criterion.off source.backing source.note"
        ),
        names=_paths("edition source.document source.edition"),
        other=_paths(
            "slug verified criterion.slug criterion.asks criterion.clause criterion.combines "
            "criterion.comparator criterion.conditions criterion.indicator criterion.limit. "
            "criterion.only criterion.outcome criterion.reference criterion.verified "
            "criterion.when. criterion.window criterion.without example. table. source.clause"
        ),
    ),
    Place(
        "rigging/rulesets/limits/*.toml",
        words=_paths(
            "title subject jurisdiction applies_to limit.words limit.action limit.note limit.off "
            "source.backing source.note"
        ),
        names=_paths("source.document source.edition"),
        other=_paths(
            "slug example. limit.asks limit.at_least limit.at_least.of limit.at_least.times "
            "limit.at_most limit.at_most.of limit.at_most.times limit.clause limit.dimension "
            "limit.outcome limit.slug limit.source limit.two_points limit.verified limit.within "
            "source.key source.clause"
        ),
    ),
    Place(
        "inspections/reports/kinds/*.toml",
        words=_paths("name words own meanings cautions item.words item.hint"),
        names=_paths("source.document source.edition"),
        other=_paths(
            "slug asks builder families level part_kinds regimes template item.clause item.key "
            "item.number item.verified " + SOURCE
        ),
    ),
    Place(
        "inspections/work_needs/*.toml",
        words=_paths("set_up.words trade.words work.not_needed_why"),
        other=_paths(
            "basis order. set_up.goes_with set_up.makes set_up.per set_up.price set_up.shared "
            "set_up.slug trade.day_fee trade.hours_a_day trade.slug work."
        ),
    ),
    Place(
        "inspections/retention_rules/*.toml",
        words=_paths("title supposes class.title rule.words"),
        names=_paths("rule.document rule.edition"),
        other=_paths(
            "slug example. class.families class.levels class.slug rule.address rule.classes "
            "rule.clause rule.id rule.longest_of rule.verified"
        ),
    ),
    Place(
        "rigging/first_choice.toml",
        words=_paths("country.words country.sets.why"),
        other=_paths("country.slug country.sets.slug"),
    ),
    Place(
        "inspections/find_actions.toml",
        words=_paths("action.name action.words"),
        other=_paths("action.alone action.query action.right action.url"),
    ),
)  # fmt: skip
