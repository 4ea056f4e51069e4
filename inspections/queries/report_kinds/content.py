"""The whole content of a report of a kind: what its builder tells, and its items as stated."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime

from inspections.queries.report_content import local_time, log_head_of
from inspections.queries.report_kinds import annual, certification, returns, ropes, thorough
from inspections.queries.report_kinds.shapes import Chosen, Told, day_words
from inspections.reports import words
from inspections.reports.content import Party, Report, Signature
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import Item
from venue.language_now import language_of_papers
from venue.models import Venue

Builder = Callable[[ReportKind, Chosen, datetime], Told]
BUILDERS: dict[str, Builder] = {
    "annual": annual.build,
    "certification": certification.build,
    "returns": returns.build,
    "ropes": ropes.build,
    "thorough": thorough.build,
}
BY_RECORDS = "the records"
LONGEST_STATED = 1000


def told_of(kind: ReportKind, chosen: Chosen, at: datetime) -> Told:
    return BUILDERS[kind.builder](kind, chosen, at)


def kind_content(
    kind: ReportKind,
    told: Told,
    venue: Venue,
    at: datetime,
    stated: Mapping[str, str],
    signature: Signature | None = None,
) -> Report:
    """Without a signature it is a draft. `stated`: what the signer states of items, by their key."""
    said = {**told.said, **_signed(signature, at, venue)}
    who = f"{signature.name}, when signing" if signature else "whoever signs, not signed yet"
    items = tuple(stated_item(item, said, stated, who) for item in kind.items)
    return Report(
        number="", what=kind.name, title=told.title, language=language_of_papers(venue),
        organisation=Party(venue.organisation.name, venue.organisation.address),
        venue=Party(venue.name, venue.address), time_zone=venue.time_zone,
        examined_on=told.examined_on.isoformat(), reported_at=local_time(at, venue),
        next_due=told.next_due.isoformat() if told.next_due else "", sheets=told.sheets,
        cautions=(*kind.cautions, *words.CAUTIONS), signature=signature, log=log_head_of(venue),
        matter=replace(told.matter, items=items),
    )  # fmt: skip


def stated_item(item: Item, said: Mapping[str, str], stated: Mapping[str, str], who: str) -> Item:
    """What the records say comes first; only where they are silent a person states it."""
    if said.get(item.key, "").strip():
        by = "the signature" if item.by_signature else BY_RECORDS
        return replace(item, said=said[item.key].strip(), by=by)
    if not item.by_signature and stated.get(item.key, "").strip():
        return replace(item, said=stated[item.key].strip()[:LONGEST_STATED], by=who)
    return item


def to_state(kind: ReportKind, told: Told) -> list[Item]:
    """The items on which the records are silent and which a person has to state."""
    return [
        item for item in kind.items
        if not item.by_signature and not told.said.get(item.key, "").strip()
    ]  # fmt: skip


def stated_items(kind: ReportKind, told: Told) -> list[Item]:
    """The items that the records state."""
    filled = [stated_item(item, told.said, {}, "") for item in kind.items]
    return [item for item in filled if item.said]


def _signed(signature: Signature | None, at: datetime, venue: Venue) -> dict[str, str]:
    if signature is None:
        return {}
    day = day_words(at.astimezone(venue.zone).date())
    return {
        "signature": f"{signature.name}, {signature.standing}, {day}",
        "signer": f"{signature.name}, {signature.standing}",
        "reported_on": day,
    }
