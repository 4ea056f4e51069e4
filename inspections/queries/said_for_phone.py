"""What a phone takes along, its words in the language of the page. Figures, choices that are kept as
answers and everything a script compares stay as they are, so the verdict is the same in any."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from inspections.attention import attention_items
from venue.language_now import said

OF_RULES = ("title", "edition", "caution", "incomplete")
OF_CRITERIA = ("words", "clause", "action", "note", "off", "verified")


def said_rules(ruleset: Mapping[str, Any]) -> dict[str, Any]:
    return {
        **_in_words(ruleset, OF_RULES),
        "criteria": [_criterion(each) for each in ruleset["criteria"]],
    }


def _criterion(criterion: Mapping[str, Any]) -> dict[str, Any]:
    told = _in_words(criterion, OF_CRITERIA)
    if criterion.get("limit"):
        told["limit"] = _in_words(criterion["limit"], ("text",))
    return told


def said_questions(questions: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    return [_in_words(each, ("source", "clause")) for each in questions]


def said_attention() -> list[dict[str, Any]]:
    """`shown`: the question, why it is asked, the choices, as the page says them. What is kept in
    the record are the words of the file."""
    return [
        {**item, "shown": [said(each) for each in (item["question"], item["why"], *_choices(item))]}
        for item in attention_items()
    ]


def _choices(item: Mapping[str, Any]) -> list[str]:
    return list(item["choices"])


def _in_words(told: Mapping[str, Any], names: Sequence[str]) -> dict[str, Any]:
    words = {name: said(told[name]) for name in names if told.get(name)}
    return {**told, **words}
