"""Keep a photograph or a document a person sent."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.db import transaction

from venue.actions.log import write_line
from venue.drawn_signatures import clean_drawing
from venue.file_store import keep_bytes
from venue.models import Equipment, EquipmentFile, KeptFile, Part, PartFile, Person, Venue
from venue.photographs import MAX_BYTES, NotAPhotograph, clean_photograph
from venue.voice_notes import ENDINGS, media_type_of_voice


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


def keep_voice_note(
    *, venue: Venue, content: bytes, name: str, by: Person, at: datetime
) -> KeptFile:
    """Kept as it came. Raises NotAVoiceNote, StoreFull."""
    media_type = media_type_of_voice(content, name)
    sha256 = keep_bytes(_root(), content)
    own_name = f"voice note.{ENDINGS[media_type]}"
    return _row(
        venue, KeptFile.What.VOICE_NOTE, own_name, media_type, content, sha256,
        sha256, media_type, by, at,
    )  # fmt: skip


def keep_drawn_signature(*, venue: Venue, content: bytes, by: Person, at: datetime) -> KeptFile:
    """Keep the drawing as it came, and a copy written anew to show. Raises NotADrawing, StoreFull."""
    clean = clean_drawing(content)
    sha256, shown = keep_bytes(_root(), content), keep_bytes(_root(), clean.content)
    return _row(
        venue, KeptFile.What.DRAWN_SIGNATURE, "drawn signature.png", clean.original_media_type,
        content, sha256, shown, clean.media_type, by, at,
    )  # fmt: skip


def attach_to_equipment(
    *, equipment: Equipment, upload: Upload, caption: str, by: Person, at: datetime
) -> EquipmentFile:
    """Keep it and hang it on the equipment. Raises NotAPhotograph, NotADocument, StoreFull. The
    same file with the same caption sent twice hangs there once."""
    kept = _photograph_or_document(equipment.venue, upload, by, at)
    with transaction.atomic():
        row, new = EquipmentFile.objects.get_or_create(
            equipment=equipment, kept_file=kept, caption=caption, defaults={"at": at}
        )
        if new:
            _tell(equipment.venue, equipment, kept, caption, by, at)
    return row


def attach_to_part(
    *, part: Part, upload: Upload, caption: str, by: Person, at: datetime
) -> PartFile:
    """As for equipment."""
    venue = part.equipment.venue
    kept = _photograph_or_document(venue, upload, by, at)
    with transaction.atomic():
        row, new = PartFile.objects.get_or_create(
            part=part, kept_file=kept, caption=caption, defaults={"at": at}
        )
        if new:
            _tell(venue, part, kept, caption, by, at)
    return row


def _photograph_or_document(venue: Venue, upload: Upload, by: Person, at: datetime) -> KeptFile:
    keep = keep_document if (upload.name or "").lower().endswith(".pdf") else keep_photograph
    return keep(venue=venue, upload=upload, by=by, at=at)


def _tell(
    venue: Venue, subject: Equipment | Part, kept: KeptFile, caption: str, by: Person, at: datetime
) -> None:
    after = {"file": kept.name, "sha256": kept.sha256, "caption": caption}
    did = f"add_{subject._meta.model_name}_file"
    write_line(venue=venue, by=by, at=at, did=did, subject=subject, after=after)


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
