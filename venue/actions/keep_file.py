"""Keep a photograph or a document a person sent."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.db import transaction

from venue.actions.log import write_line
from venue.file_store import keep_bytes
from venue.models import Equipment, EquipmentFile, KeptFile, Person, Venue
from venue.photographs import MAX_BYTES, NotAPhotograph, clean_photograph


class Upload(Protocol):
    name: str | None

    @property
    def size(self) -> int | None: ...

    def read(self) -> bytes: ...


class NotADocument(ValueError):
    """Says what was wrong and what to send instead."""


def keep_photograph(*, venue: Venue, upload: Upload, by: Person | None, at: datetime) -> KeptFile:
    """Keep the original bytes privately and a clean copy to show. Raises NotAPhotograph, StoreFull."""
    name = _plain_name(upload)
    if (upload.size or 0) > MAX_BYTES:
        # Refused before it is read into memory.
        raise NotAPhotograph(
            f"“{name}” is {(upload.size or 0) // 1_000_000} MB; a photograph may have 25 MB. Take it again smaller."
        )
    content = upload.read()
    clean = clean_photograph(content, name)
    sha256, shown = keep_bytes(_root(), content), keep_bytes(_root(), clean.content)
    return _row(
        venue, KeptFile.What.PHOTOGRAPH, name, clean.original_media_type, content, sha256,
        shown, clean.media_type, by, at,
    )  # fmt: skip


def keep_document(*, venue: Venue, upload: Upload, by: Person | None, at: datetime) -> KeptFile:
    """Keep a PDF as it is; it is only ever offered as a download."""
    name = _plain_name(upload)
    if (upload.size or 0) > MAX_BYTES:
        raise NotADocument(f"“{name}” is larger than 25 MB. Send a smaller PDF.")
    content = upload.read()
    if not content.startswith(b"%PDF-"):
        raise NotADocument(f"“{name}” is not a PDF. Documents are kept as PDF only.")
    sha256 = keep_bytes(_root(), content)
    return _row(
        venue, KeptFile.What.DOCUMENT, name, "application/pdf", content, sha256,
        sha256, "application/pdf", by, at,
    )  # fmt: skip


def keep_report(*, venue: Venue, name: str, content: bytes, by: Person, at: datetime) -> KeptFile:
    sha256 = keep_bytes(_root(), content)
    return _row(
        venue, KeptFile.What.REPORT, name, "application/pdf", content, sha256,
        sha256, "application/pdf", by, at,
    )  # fmt: skip


def add_equipment_photograph(
    *, equipment: Equipment, upload: Upload, caption: str, by: Person, at: datetime
) -> EquipmentFile:
    return _attach(
        equipment,
        keep_photograph(venue=equipment.venue, upload=upload, by=by, at=at),
        caption,
        by,
        at,
    )


def add_equipment_document(
    *, equipment: Equipment, upload: Upload, caption: str, by: Person, at: datetime
) -> EquipmentFile:
    return _attach(
        equipment,
        keep_document(venue=equipment.venue, upload=upload, by=by, at=at),
        caption,
        by,
        at,
    )


def _attach(equipment, kept, caption, by, at) -> EquipmentFile:
    with transaction.atomic():
        row = EquipmentFile.objects.create(
            equipment=equipment, kept_file=kept, caption=caption, at=at
        )
        after = {"file": kept.name, "sha256": kept.sha256, "caption": caption}
        write_line(
            venue=equipment.venue,
            by=by,
            at=at,
            did="add_equipment_file",
            subject=equipment,
            after=after,
        )
    return row


def _row(
    venue, what, name, media_type, content, sha256, shown, shown_media_type, by, at
) -> KeptFile:
    fresh = {
        "what": what, "media_type": media_type, "size": len(content), "shown_sha256": shown,
        "shown_media_type": shown_media_type, "by": by, "at": at,
    }  # fmt: skip
    kept, _ = KeptFile.objects.get_or_create(venue=venue, sha256=sha256, name=name, defaults=fresh)
    return kept


def _root() -> Path:
    return Path(settings.LOFTBOOK_FILES)


def _plain_name(upload: Upload) -> str:
    return Path(upload.name or "file").name[:200]
