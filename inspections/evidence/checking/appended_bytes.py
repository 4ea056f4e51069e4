"""What stands in the bytes that were appended to a PDF, beside what its tables tell.

A viewer that finds a table broken reads the file anew from its words: the last “7 0 obj” is then
object 7, and the last trailer counts. So nothing of the kind may stand there that no table lists.
"""

from __future__ import annotations

import re

from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.pdf_utils.xref import XRefSectionType

OBJECT = re.compile(rb"(?<![0-9])[0-9]{1,10}[\x00\t\n\f\r ]+[0-9]{1,5}[\x00\t\n\f\r ]+obj")


def hidden_in(reader: PdfFileReader, signed: int) -> str:
    """What is there after the signed revision and in no table, in words; nothing where all is listed."""
    tables = reader.xrefs
    start = tables.get_xref_container_info(signed).end_location
    reader.stream.seek(start)
    content = reader.stream.read()
    revisions = range(signed + 1, tables.total_revisions)
    listed = {
        tables.get_historical_ref(reference, revision)
        for revision in revisions
        for reference in tables.explicit_refs_in_revision(revision)
    }
    if any(start + found.start() not in listed for found in OBJECT.finditer(content)):
        return "an object that no table lists"
    kinds = [tables.get_xref_container_info(revision).xref_section_type for revision in revisions]
    if content.count(b"trailer") != kinds.count(XRefSectionType.STANDARD):
        return "a trailer that belongs to no table"
    # One is of the signed revision itself: its table ends before it.
    if content.count(b"startxref") != len(revisions) + 1:
        return "a beginning of another table"
    return ""
