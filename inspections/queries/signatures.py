"""Who signed a check, with what, in words; and what came as a signature and does not hold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC

from inspections import signature_words as words
from inspections.models import KeptAside, PhoneSignature, Record, Sent

# How what was kept aside is told from a message of a check under the same id.
SIGNATURE_ASIDE = "A signature that does not hold."


@dataclass(frozen=True)
class Signing:
    """What a page or a report says. `by_phone`: only such a check can be signed."""

    lines: tuple[words.Said, ...]
    meanings: tuple[str, ...]
    signed: bool
    by_phone: bool


def signing_of(record: Record) -> Signing:
    sent = Sent.objects.filter(record=record).first()
    rows = list(sent.signatures.select_related("by")) if sent else []
    lines = [_words(row, sent) for row in rows if sent]
    if not rows:
        lines = [words.unsigned_words(record.by_name, by_phone=sent is not None)]
    hows = {row.how for row in rows}
    meanings = [words.MEANS, words.MEANS_NOT] if PhoneSignature.How.PASSKEY in hows else []
    if PhoneSignature.How.PASSWORD in hows:
        meanings.append(words.PASSWORD_MEANS)
    refused = _refused(sent) if sent else []
    return Signing((*lines, *refused), tuple(meanings), bool(rows), sent is not None)


def _words(row: PhoneSignature, sent: Sent) -> words.Said:
    at = row.received_at.astimezone(UTC)
    if row.how == PhoneSignature.How.PASSWORD:
        return words.password_words(row.by.name, at)
    return words.passkey_words(row.by.name, row.passkey, row.person_verified, at, sent.sha256)


def _refused(sent: Sent) -> list[words.Said]:
    rows = KeptAside.objects.filter(message_id=sent.pk, why__startswith=SIGNATURE_ASIDE)
    return [
        words.refused_words(
            row.why.removeprefix(SIGNATURE_ASIDE).strip(), row.received_at.astimezone(UTC)
        )
        for row in rows.order_by("received_at", "pk")
    ]
