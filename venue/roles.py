"""What a role may do in a venue. Pure: the one table that views and templates ask."""

from __future__ import annotations

READ_PAGES = frozenset({"manager", "competent", "stagehand", "examiner", "auditor"})

MAY: dict[str, frozenset[str]] = {
    "see pages": READ_PAGES,
    "export evidence": frozenset({"manager", "auditor"}),
    "let auditors in": frozenset({"manager"}),
    "see questions": frozenset({"manager", "competent", "examiner", "auditor"}),
    "ask questions": frozenset({"auditor"}),
    "answer questions": frozenset({"manager", "competent"}),
    "change the register": frozenset({"manager"}),
    "add photographs": frozenset({"manager", "competent"}),
    "shorten dates": frozenset({"manager", "examiner"}),
    "set up the house": frozenset({"manager"}),
    "choose rule sets": frozenset({"manager"}),
    "confirm figures": frozenset({"manager", "competent"}),
    "apply regimes": frozenset({"manager"}),
    "plan tasks": frozenset({"manager"}),
    # Wages, fees and budgets. What an examination costs is no evidence of it.
    "see money": frozenset({"manager"}),
    "manage people": frozenset({"manager"}),
    "see retention": frozenset({"manager", "auditor"}),
    "keep retention": frozenset({"manager"}),
    "carry out checks": frozenset({"manager", "competent", "stagehand", "examiner"}),
    "say seen": frozenset({"manager", "competent", "stagehand", "examiner"}),
    "get messages": frozenset({"manager", "competent", "stagehand", "examiner"}),
    "take out of service": frozenset({"manager", "competent", "stagehand", "examiner"}),
    "record a remedy": frozenset({"manager", "competent", "stagehand", "examiner"}),
    # Holding the role is not enough: the person also needs a valid competence on the day.
    "return to service": frozenset({"competent", "examiner"}),
    "change seals": frozenset({"manager"}),
    "countersign reports": frozenset({"manager", "competent", "examiner"}),
    "issue reports": frozenset({"manager", "competent", "examiner"}),
}


def may(role: str | None, what: str) -> bool:
    """Whether the role may do it. An unknown deed is a programming error, not a "no".

    >>> may("auditor", "export evidence"), may("auditor", "carry out checks"), may(None, "see pages")
    (True, False, False)
    """
    return role in MAY[what]
