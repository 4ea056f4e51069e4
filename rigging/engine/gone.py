"""What stands in the place of a rule set that was chosen and is not in this release. Pure."""

from __future__ import annotations

from rigging.engine.rulesets import RuleSet


def ruleset_gone(slug: str) -> RuleSet:
    """A rule set without criteria, that can never pass a rope and says why.

    >>> from rigging.engine import RopeFacts, RopeObservation, judge_rope
    >>> judged = judge_rope(RopeFacts(), RopeObservation(), ruleset_gone("house-rule"))
    >>> judged.state, judged.missing[0]
    ('cannot be decided', 'the rule set “house-rule”: it was chosen here and its file is not in this release')
    """
    return RuleSet(
        slug=slug, title=slug, edition="not known", status="gone", jurisdiction="", verified="from memory",
        applies_to="", sources=(), criteria=(), tables={}, examples=(), hash="",
        caution="Put the file back, or end the choice and say why.",
        incomplete=f"the rule set “{slug}”: it was chosen here and its file is not in this release",
    )  # fmt: skip
