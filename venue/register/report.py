"""What an import would do or did, in sentences for a page or a terminal. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from venue.register.columns import EQUIPMENT, PART, PLACE
from venue.register.comparison import Change, Comparison

_ONE_AND_MANY = {
    PLACE: ("place", "places"),
    EQUIPMENT: ("piece of equipment", "pieces of equipment"),
    PART: ("part", "parts"),
}
EMPTY = "(empty)"


def counted(number: int, what: str) -> str:
    """A count with its word.

    >>> counted(1, "equipment"), counted(2, "part")
    ('1 piece of equipment', '2 parts')
    """
    one, many = _ONE_AND_MANY[what]
    return f"{number:,} {one if number == 1 else many}"


def summary(comparison: Comparison, *, done: bool) -> list[str]:
    """Counts in sentences: created, changed, unchanged, skipped."""
    kinds = (PLACE, EQUIPMENT, PART)
    created = _listed({what: len(comparison.created(what)) for what in kinds})
    changed = _listed({what: len(comparison.changed(what)) for what in kinds})
    unchanged = _listed({what: comparison.unchanged[what] for what in kinds})
    sentences = [
        f"{'Created' if done else 'To be created'}: {created}.",
        f"{'Changed' if done else 'To be changed'}: {changed}.",
        f"Unchanged: {unchanged}.",
    ]
    if comparison.examples:
        sentences.append(f"Example rows skipped: {comparison.examples:,}.")
    return sentences


def _listed(counts: Mapping[str, int]) -> str:
    """
    >>> _listed({PLACE: 0, EQUIPMENT: 2, PART: 1}), _listed({PLACE: 0})
    ('2 pieces of equipment, 1 part', 'nothing')
    """
    return (
        ", ".join(counted(number, what) for what, number in counts.items() if number) or "nothing"
    )


def outcome(comparison: Comparison, *, done: bool) -> str:
    """The one sentence that matters most."""
    if comparison.faults:
        number = len(comparison.faults)
        faults = "One fault" if number == 1 else f"{number:,} faults"
        return f"{faults}; nothing is changed until the file has none."
    if comparison.changes_nothing:
        return "The file changes nothing: the house holds all of it already."
    return (
        "Everything in the file was taken over." if done else "No faults. Nothing is changed yet."
    )


def report_lines(comparison: Comparison, *, done: bool) -> Iterator[str]:
    """The whole report, line by line."""
    for fault in comparison.faults:
        yield str(fault)
    for change in comparison.changes:
        yield from _change_lines(change)
    yield from _untouched_lines(comparison)
    yield from summary(comparison, done=done)
    yield outcome(comparison, done=done)


def _change_lines(change: Change) -> Iterator[str]:
    yield f"Row {change.row}: {'new' if change.is_new else 'changed'} {change.what} {change.label}"
    for one in change.differences:
        if change.is_new:
            yield f"    {one.column}: {one.after}"
        else:
            yield f"    {one.column}: {one.before or EMPTY} → {one.after or EMPTY}"


def _untouched_lines(comparison: Comparison) -> Iterator[str]:
    for tag in comparison.untouched_equipment:
        yield f"Not in this file, left as it is: {tag}"
    for part in comparison.untouched_parts:
        yield f"Not in this file, left as it is: part {part}"
