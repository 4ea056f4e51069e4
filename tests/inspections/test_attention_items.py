"""The small questions that vary, as the file has them."""

from __future__ import annotations

from inspections.attention import attention_items


def test_every_small_question_has_four_different_choices_and_a_reason() -> None:
    items = attention_items()
    assert len(items) >= 6
    assert len({item["slug"] for item in items}) == len(items)
    for item in items:
        assert set(item) == {"slug", "question", "choices", "why"}
        assert len(set(item["choices"])) == 4
        assert item["question"].endswith("?")
