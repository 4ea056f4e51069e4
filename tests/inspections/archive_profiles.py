"""What a validator says of a PDF: PDF/A-3a (ISO 19005-3) and PDF/UA-1 (ISO 14289-1).

The package `page-validation`, of other people, which passes the corpus of test files that the PDF
industry's own validator comes with.
"""

from __future__ import annotations

import re
from pathlib import Path

import page
import pikepdf

PROFILES = ("3a", "ua1")
WRONG_LENGTH, WRONG_RANGE = "PDFA3A-STREAM-LENGTH-001", "PDFA3A-SIGNATURE-BYTERANGE-001"
WRONG_MAPS = {"PDFA3A-UNICODE-MAPPING-001", "PDFUA1-FONT-UNICODE-MAPPING-001"}


def breaches(pdf: Path) -> list[str]:
    """Every rule that the file breaks, in the validator's words."""
    return [
        f"{fault.rule_id}: {fault.message}"
        for profile in PROFILES
        for fault in page.validate_pdf(pdf, profile=profile).failures
        if not _only_looks_wrong(pdf, fault.rule_id)
    ]


def _only_looks_wrong(pdf: Path, rule: str) -> bool:
    """Three mistakes of version 0.11: it takes a carriage return with which packed data happen to end
    for part of the line's end after them; it asks of every signature, not of the last alone, to cover
    what updates added after it; and it knows of a range of signs only the form without a list."""
    if rule == WRONG_LENGTH:
        return _lengths_are_right(pdf)
    if rule == WRONG_RANGE:
        return _each_covers_what_was_there(pdf.read_bytes())
    return rule in WRONG_MAPS and _lists_are_whole(pdf)


def _lengths_are_right(pdf: Path) -> bool:
    data = pdf.read_bytes()
    with pikepdf.open(pdf) as opened:
        packed = [each.read_raw_bytes() for each in opened.objects if _is_stream(each)]
    ends = [(raw + b"\nendstream" in data, raw.endswith(b"\r")) for raw in packed]
    return all(right for right, _ in ends) and any(odd for _, odd in ends)


def _each_covers_what_was_there(data: bytes) -> bool:
    ranges = re.findall(rb"/ByteRange\s*\[\s*0 \d+ (\d+) (\d+)\s*\]", data)
    covered = [int(start) + int(length) for start, length in ranges]
    whole = all(data[:end].rstrip().endswith(b"%%EOF") for end in covered)
    return whole and len(covered) > 1 and max(covered) == len(data)


def _lists_are_whole(pdf: Path) -> bool:
    """ISO 32000-1, 9.10.3: a range of codes, then a list with the text of each of them."""
    with pikepdf.open(pdf) as opened:
        fonts = [
            e for e in opened.objects if isinstance(e, pikepdf.Dictionary) and "/ToUnicode" in e
        ]
        maps = [font.ToUnicode.read_bytes() for font in fonts]
    lists = [
        int(last, 16) - int(first, 16) + 1 == len(texts.split())
        for text in maps
        for first, last, texts in re.findall(rb"<(\w+)> <(\w+)> \[([^]]*)\]", text)
    ]
    return bool(lists) and all(lists)


def _is_stream(each: pikepdf.Object) -> bool:
    return isinstance(each, pikepdf.Stream)
