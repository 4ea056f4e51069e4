"""Put each class of evidence into an open bag. Reads through the queries, writes only to the bag."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from fido2.utils import websafe_decode

from inspections.along import DRAWN, VOICE
from inspections.evidence.bag import Bag
from inspections.evidence.tables import Counted, csv_chunks
from inspections.models import SignedHead
from inspections.queries import evidence
from inspections.queries.evidence import Span
from inspections.queries.evidence_rows import AT_ONCE, TABLES
from inspections.reports.kind_files import FOLDER as KINDS_FOLDER
from inspections.reports.kind_files import report_kinds
from rigging.engine import load_rulesets
from rigging.engine.ruleset_files import FOLDER
from rigging.queries.confirmations import hashes_used
from venue.file_store import path_of
from venue.models import Venue
from venue.queries.register import register_rows_of
from venue.register.written import register_columns, register_rows
from venue.voice_notes import ENDINGS

KINDS = {
    "image/jpeg": "jpg", "image/png": "png", "image/webp": "webp", "application/pdf": "pdf", **ENDINGS,
}  # fmt: skip
FOLDERS = {VOICE: "voice-notes", DRAWN: "drawn-signatures"}


@dataclass
class Packed:
    """What went into the bag, and what could not."""

    written: dict[str, int] = field(default_factory=dict)
    tallied: dict[str, dict[str, int]] = field(default_factory=dict)
    missing: list[dict[str, str]] = field(default_factory=list)


def pack(bag: Bag, span: Span, today: date, store: Path) -> Packed:
    packed = Packed()
    _register(bag, span, today)
    for name, table in TABLES.items():
        tally = table.heading.index(table.tally) if table.tally else None
        rows = Counted(table.rows(span, today), tally)
        bag.add_text(f"{name}.csv", csv_chunks(table.heading, rows))
        packed.written[name] = rows.number
        if table.tally:
            packed.tallied[name] = rows.tallied
    _isolations(bag, span, today)
    _records(bag, span, packed)
    _signatures(bag, span)
    _reports(bag, span, packed, store)
    _photographs(bag, span, packed, store)
    _spoken_and_drawn(bag, span, packed, store)
    _kept_aside(bag, span)
    _rules(bag, span, packed)
    _report_kinds(bag, span, packed)
    return packed


def pack_log(bag: Bag, span: Span) -> None:
    """Last, up to a head read after all the rest: a row and its log line are written together, so
    whatever was packed is told of in the log that is packed."""
    bag.add_text("log.jsonl", _log_lines(span))


def pack_names(bag: Bag, span: Span, *, given: bool) -> dict[str, int]:
    """What the references of the log stand for. Not `given`: the references alone. Whichever it is,
    how many there are of each is counted."""
    counts = {"given": 0, "withheld": 0, "removed": 0}

    def rows() -> Iterator[tuple[str, str, str]]:
        for row in evidence.kept_names(span).iterator(chunk_size=AT_ONCE):
            state = "removed" if row.removed_at else "given" if given else "withheld"
            counts[state] += 1
            yield (
                (row.reference, row.salt, row.said) if state == "given" else (row.reference, "", "")
            )

    bag.add_text("names.csv", csv_chunks(("reference", "salt", "name"), rows()))
    return counts


def pack_heads(bag: Bag, head: SignedHead) -> None:
    """Every signed head up to this one; each names the one before, so this one's signature covers all."""
    rows = evidence.signed_heads(head).values_list("body", flat=True).iterator(chunk_size=AT_ONCE)
    bag.add_text("heads.jsonl", (f"{body}\n" for body in rows))
    bag.add_text("head.json", [head.body])
    bag.add_bytes("head.json.p7s", base64.b64decode(head.signature))


def _register(bag: Bag, span: Span, today: date) -> None:
    house = register_rows_of(span.venue, today).house
    heading, *rows = register_rows(house, register_columns(house))
    bag.add_text("register.csv", csv_chunks(heading, rows))
    cells = [dict(zip(heading, row, strict=True)) for row in rows]
    filled = [{name: text for name, text in row.items() if text} for row in cells]
    bag.add_text("register.json", [_json(filled)])


def _isolations(bag: Bag, span: Span, today: date) -> None:
    """The table once more, for programs. Few rows: those of a year plan."""
    heading = TABLES["isolations"].heading
    rows = [
        dict(zip(heading, ("" if cell is None else str(cell) for cell in row), strict=True))
        for row in TABLES["isolations"].rows(span, today)
    ]
    bag.add_text("isolations.json", [_json(rows)])


def _records(bag: Bag, span: Span, packed: Packed) -> None:
    rows = evidence.records(span).values_list("pk", "body").iterator(chunk_size=AT_ONCE)
    bodies = 0
    for pk, body in rows:
        bag.add_text(f"records/{pk}.json", [body])
        bodies += 1
    packed.written["record_bodies"] = bodies


def _signatures(bag: Bag, span: Span) -> None:
    """Laid out so that a stranger's usual tools can verify them; see verify_signatures.py."""
    rows = evidence.signatures(span).select_related("sent").iterator(chunk_size=AT_ONCE)
    for row in rows:
        folder = f"signatures/{row.pk}"
        bag.add_text(f"{folder}/message.json", [row.sent.body])
        if row.public_key:
            client = websafe_decode(row.client_data)
            signed = websafe_decode(row.authenticator_data) + hashlib.sha256(client).digest()
            bag.add_text(f"{folder}/public-key.pem", [row.public_key])
            bag.add_bytes(f"{folder}/client-data.json", client)
            bag.add_bytes(f"{folder}/signed-bytes.bin", signed)
            bag.add_bytes(f"{folder}/signature.bin", websafe_decode(row.signature))


def _reports(bag: Bag, span: Span, packed: Packed, store: Path) -> None:
    rows = evidence.reports(span).values_list("number", "kept_file__sha256")
    for number, sha256 in rows.iterator(chunk_size=AT_ONCE):
        _file(bag, f"reports/report-{number}.pdf", sha256, packed, span.venue, store)
    later = evidence.countersignatures(span).select_related("report", "kept_file")
    for row in later.iterator(chunk_size=AT_ONCE):
        name = f"reports/report-{row.report.number}-countersigned-{row.number}.pdf"
        _file(bag, name, row.kept_file.sha256, packed, span.venue, store)


def _photographs(bag: Bag, span: Span, packed: Packed, store: Path) -> None:
    known, number = set(), 0
    for kept in evidence.photograph_files(span).iterator(chunk_size=AT_ONCE):
        number += 1
        copies = [("originals/", kept.sha256, kept.media_type)]
        if kept.shown_sha256 != kept.sha256:
            copies.append(("", kept.shown_sha256, kept.shown_media_type))
        for folder, sha256, media_type in copies:
            name = f"photographs/{folder}{sha256}.{KINDS.get(media_type, 'bin')}"
            if name not in known:  # the same bytes may be kept under two names
                known.add(name)
                _file(bag, name, sha256, packed, span.venue, store)
    packed.written["photographs_and_documents"] = number


def _spoken_and_drawn(bag: Bag, span: Span, packed: Packed, store: Path) -> None:
    """As they were sent. The drawing's copy that is shown says nothing more."""
    known = set()
    rows = evidence.check_files(span).select_related("kept_file")
    for row in rows.iterator(chunk_size=AT_ONCE):
        ending = KINDS.get(row.kept_file.media_type, "bin")
        name = f"{FOLDERS[row.what]}/{row.sha256}.{ending}"
        if name not in known:
            known.add(name)
            _file(bag, name, row.sha256, packed, span.venue, store)


def _kept_aside(bag: Bag, span: Span) -> None:
    """To the letter. The same text may have come under two ids."""
    known = set()
    rows = evidence.kept_aside(span).values_list("sha256", "body")
    for sha256, body in rows.iterator(chunk_size=AT_ONCE):
        if sha256 not in known:
            known.add(sha256)
            bag.add_text(f"messages-kept-aside/{sha256}.txt", [body])


def _file(bag: Bag, name: str, sha256: str, packed: Packed, venue: Venue, store: Path) -> None:
    """A lost or damaged file never stops the rest; completeness.json tells of it."""
    path = path_of(store, sha256)
    if not path.is_file():
        why = evidence.disposed_words(venue, sha256) or "not in the file store"
        packed.missing.append({"file": name, "why": why})
        return
    found = bag.add_file(name, path)
    if found != sha256:
        packed.missing.append({"file": name, "why": f"damaged: its SHA-256 is {found}"})


def _rules(bag: Bag, span: Span, packed: Packed) -> None:
    for version in evidence.regime_versions(span).iterator(chunk_size=AT_ONCE):
        bag.add_text(f"rules/regimes/{version.slug}-{version.hash[:12]}.toml", [version.body])
    known = load_rulesets()
    for slug, sha256 in evidence.rule_sets_used(span):
        name = f"rules/rule-sets/{slug}-{sha256[:12]}.toml"
        if slug in known and sha256 in hashes_used(span.venue, known[slug]):
            bag.add_file(name, FOLDER / f"{slug}.toml")
        else:
            why = "the rule set has another edition now; every judgement names what it used"
            packed.missing.append({"file": name, "why": why})
    choices = evidence.rule_choices(span).select_related("chosen_by")
    rows = [
        {
            "rule_set": row.ruleset, "sha256": row.ruleset_hash, "chosen_by": row.chosen_by.name,
            "why": row.why, "since": str(row.since), "ended_on": str(row.ended_on or ""),
        }
        for row in choices
    ]  # fmt: skip
    bag.add_text("rules/choices.json", [_json(rows)])
    bag.add_text("rules/confirmed-figures.json", [_json(_confirmed(span))])


def _report_kinds(bag: Bag, span: Span, packed: Packed) -> None:
    """The files that listed what the reports had to hold."""
    known = report_kinds()
    for slug, sha256 in evidence.report_kinds_used(span):
        name = f"rules/report-kinds/{slug}-{sha256[:12]}.toml"
        if slug in known and known[slug].hash == sha256:
            bag.add_file(name, KINDS_FOLDER / f"{slug}.toml")
        else:
            why = "the kind has another edition now; each report's record.json names every item"
            packed.missing.append({"file": name, "why": why})


def _confirmed(span: Span) -> list[dict[str, str]]:
    """Figures known from memory only that a named person confirmed with the document."""
    return [
        {
            "rule_set": row.ruleset, "criterion": row.criterion, "sha256": row.criterion_hash,
            "document": row.document, "edition": row.edition, "clause": row.clause,
            "name": row.name, "since": str(row.since), "ended_on": str(row.ended_on or ""),
        }
        for row in span.venue.figures_confirmed.order_by("pk")
    ]  # fmt: skip


def _log_lines(span: Span) -> Iterator[str]:
    """The very texts that are the leaves of the tree, one a line: no canonical text has a line end."""
    for body in (
        evidence.log_lines(span).values_list("body", flat=True).iterator(chunk_size=AT_ONCE)
    ):
        yield f"{body}\n"


def _json(content: Any) -> str:
    return json.dumps(content, ensure_ascii=False, indent=1) + "\n"
