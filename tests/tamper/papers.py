"""Updates appended to a signed PDF: the signed bytes stay as they are, what is shown does not."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter

from inspections.reports.seal import Appended

NAME, NUMBER = generic.NameObject, generic.NumberObject
WHITE_BOX = b"q 1 1 1 rg 40 500 520 200 re f Q"


def white_box(content: bytes) -> bytes:
    """The page draws a white box over what it said."""
    writer = Appended(BytesIO(content), strict=False)
    box = writer.add_object(generic.StreamObject(stream_data=WHITE_BOX))
    writer.add_stream_to_page(0, box)
    return _written(writer)


def annotation(content: bytes) -> bytes:
    """A stamp that says something else lies over the page."""
    writer = Appended(BytesIO(content), strict=False)
    look = generic.StreamObject(stream_data=b"1 1 1 rg 0 0 520 200 re f")
    look[NAME("/Type")], look[NAME("/Subtype")] = NAME("/XObject"), NAME("/Form")
    look[NAME("/BBox")] = _box(0, 0, 520, 200)
    stamp = generic.DictionaryObject({
        NAME("/Type"): NAME("/Annot"), NAME("/Subtype"): NAME("/Stamp"),
        NAME("/Rect"): _box(40, 500, 560, 700), NAME("/F"): NUMBER(4),
        NAME("/AP"): generic.DictionaryObject({NAME("/N"): writer.add_object(look)}),
    })  # fmt: skip
    page = writer.root["/Pages"]["/Kids"][0]
    annotations = generic.ArrayObject([*page.get("/Annots", []), writer.add_object(stamp)])
    page[NAME("/Annots")] = annotations
    writer.update_container(page)
    return _written(writer)


def other_record(content: bytes) -> bytes:
    """The record the report carries is another one."""
    writer = Appended(BytesIO(content), strict=False)
    files = writer.root["/Names"]["/EmbeddedFiles"]["/Names"]
    file = files[1].get_object()["/EF"]
    record = generic.StreamObject(stream_data=b'{"state":"fit"}')
    record[NAME("/Type")] = NAME("/EmbeddedFile")
    file[NAME("/F")] = writer.add_object(record)
    writer.update_container(file)
    return _written(writer)


def _box(*corners: int) -> generic.ArrayObject:
    return generic.ArrayObject([NUMBER(corner) for corner in corners])


def _written(writer: IncrementalPdfFileWriter) -> bytes:
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


APPENDED: dict[str, Callable[[bytes], bytes]] = {
    "a white box over the page": white_box,
    "a stamp over the page": annotation,
    "another record attached": other_record,
}
