"""What a finding says below its head, told apart by who wrote it. Pure."""

from __future__ import annotations

from collections.abc import Iterable


def detail_pieces(detail: str, typed: Iterable[str]) -> list[tuple[str, bool]]:
    """Its lines in their order, and whether somebody typed them. `typed`: what was typed with the
    answer, in the order in which it stands there; one text may be several lines.

    >>> detail_pieces("Not met.\\nBent at 1.5 m", ["Bent at 1.5 m"])
    [('Not met.', False), ('Bent at 1.5 m', True)]
    """
    pieces: list[tuple[str, bool]] = []
    rest = f"\n{detail}\n"
    for text in filter(None, typed):
        before, found, after = rest.partition(f"\n{text}\n")
        if found:
            pieces += _ours(before)
            pieces.append((text, True))
            rest = f"\n{after}"
    return pieces + _ours(rest)


def _ours(text: str) -> list[tuple[str, bool]]:
    return [(line, False) for line in text.strip("\n").split("\n") if line]
