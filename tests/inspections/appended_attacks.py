"""What somebody without a key may append to a sealed PDF: each must be refused."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.fields import SigFieldSpec, append_signature_field

from inspections.reports.seal import Appended
from tests.tamper.papers import annotation, white_box

NAME = generic.NameObject


def written(content: bytes, change: Callable[[IncrementalPdfFileWriter], None]) -> bytes:
    """Nothing else is changed: the library would name itself in the metadata, which alone is refused."""
    writer = Appended(BytesIO(content), strict=False)
    change(writer)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def other_title(writer: IncrementalPdfFileWriter) -> None:
    writer.root[NAME("/Lang")] = generic.pdf_string("xx")
    writer.update_root()


def script_on_opening(writer: IncrementalPdfFileWriter) -> None:
    action = {NAME("/S"): NAME("/JavaScript"), NAME("/JS"): generic.pdf_string("0")}
    writer.root[NAME("/OpenAction")] = generic.DictionaryObject(action)
    writer.update_root()


def visible_field(writer: IncrementalPdfFileWriter) -> None:
    append_signature_field(writer, SigFieldSpec("Other", box=(0, 0, 200, 200)))


def moved_place(writer: IncrementalPdfFileWriter) -> None:
    field = writer.root["/AcroForm"]["/Fields"][1]
    field[NAME("/Rect")] = generic.ArrayObject(map(generic.NumberObject, (0, 0, 200, 200)))
    writer.update_container(field)


def other_look_of_a_signature(writer: IncrementalPdfFileWriter) -> None:
    field = writer.root["/AcroForm"]["/Fields"][0]
    field[NAME("/AP")] = generic.DictionaryObject()
    writer.update_container(field)


def page_added(writer: IncrementalPdfFileWriter) -> None:
    pages = writer.root["/Pages"]
    pages["/Kids"].append(pages["/Kids"].raw_get(0))
    writer.update_container(pages["/Kids"])
    writer.update_container(pages)


def looks_signed(writer: IncrementalPdfFileWriter, value: generic.PdfObject) -> None:
    """The free place shows a name; what stands in it as its signature is `value`."""
    look = generic.StreamObject(stream_data=b"BT (Jonas Quill: examined, fit) Tj ET")
    look[NAME("/Subtype")] = NAME("/Form")
    look[NAME("/BBox")] = numbers(0, 0, 180, 50)
    field = writer.root["/AcroForm"]["/Fields"][1]
    field[NAME("/AP")] = generic.DictionaryObject({NAME("/N"): writer.add_object(look)})
    field[NAME("/V")] = value
    writer.update_container(field)


def numbers(*them: int) -> generic.ArrayObject:
    return generic.ArrayObject(map(generic.NumberObject, them))


def stamp_of_nobody(writer: IncrementalPdfFileWriter) -> generic.IndirectObject:
    return writer.add_object(generic.DictionaryObject({
        NAME("/Type"): NAME("/DocTimeStamp"), NAME("/Filter"): NAME("/Adobe.PPKLite"),
        NAME("/SubFilter"): NAME("/ETSI.RFC3161"), NAME("/ByteRange"): numbers(0, 1, 2, 3),
        NAME("/Contents"): generic.ByteStringObject(bytes(8)),
    }))  # fmt: skip


def look_without_a_signature(writer: IncrementalPdfFileWriter) -> None:
    looks_signed(writer, generic.NullObject())


def look_with_a_signature_that_is_nowhere(writer: IncrementalPdfFileWriter) -> None:
    looks_signed(writer, writer.add_object(generic.NullObject()))


def look_with_a_stamp_in_place_of_a_signature(writer: IncrementalPdfFileWriter) -> None:
    looks_signed(writer, stamp_of_nobody(writer))


def added(writer: IncrementalPdfFileWriter, **more: generic.PdfObject) -> generic.IndirectObject:
    """An invisible field that is said to be one of a signature, in the form and on the page."""
    field = writer.add_object(generic.DictionaryObject({
        NAME("/FT"): NAME("/Sig"), NAME("/T"): generic.pdf_string("Later"),
        NAME("/Rect"): numbers(0, 0, 0, 0),
        **{NAME(f"/{name}"): value for name, value in more.items()},
    }))  # fmt: skip
    fields, page = writer.root["/AcroForm"]["/Fields"], writer.root["/Pages"]["/Kids"][0]
    fields.append(field)
    writer.update_container(fields)
    page["/Annots"].append(field)
    writer.update_container(page["/Annots"])
    return field


def note_that_needs_no_room(writer: IncrementalPdfFileWriter) -> None:
    added(writer, Subtype=NAME("/Text"), Contents=generic.pdf_string("Examined again: fit"))


def field_that_acts(writer: IncrementalPdfFileWriter) -> None:
    action = {NAME("/S"): NAME("/JavaScript"), NAME("/JS"): generic.pdf_string("0")}
    opened = generic.DictionaryObject({NAME("/PO"): generic.DictionaryObject(action)})
    added(writer, Subtype=NAME("/Widget"), AA=opened)


def field_with_others_below(writer: IncrementalPdfFileWriter) -> None:
    added(writer, Subtype=NAME("/Widget"), Kids=generic.ArrayObject())


def field_with_a_border(writer: IncrementalPdfFileWriter) -> None:
    added(writer, Subtype=NAME("/Widget"), Border=numbers(0, 0, 400))


def field_with_something_else_as_signature(writer: IncrementalPdfFileWriter) -> None:
    added(writer, Subtype=NAME("/Widget"), V=generic.pdf_string("Jonas Quill"))


def field_that_says_something_aloud(writer: IncrementalPdfFileWriter) -> None:
    added(writer, Subtype=NAME("/Widget"), TU=generic.pdf_string("Examined again: fit"))


def field_that_is_a_page(writer: IncrementalPdfFileWriter) -> None:
    kids = writer.root["/Pages"]["/Kids"]
    kids.append(added(writer, Subtype=NAME("/Widget")))
    writer.update_container(kids)


def other_trailer(content: bytes, entry: bytes) -> bytes:
    """An update that changes nothing but what the trailer says."""
    size = PdfFileReader(BytesIO(content)).trailer_view["/Size"]
    start = content.rsplit(b"startxref", 1)[1].split()[0]
    root = PdfFileReader(BytesIO(content)).trailer_view.raw_get("/Root").idnum
    at = len(content) + 1
    return content + (
        b"\nxref\n0 0\ntrailer\n<</Size %d/Root %d 0 R/Prev %s%s>>\nstartxref\n%d\n%%%%EOF\n"
        % (size, root, start, entry, at)
    )


def object_in_no_table(content: bytes) -> bytes:
    """For a viewer that builds its own table from what it finds."""
    return content + b"\n4 0 obj\n<<>>\nendobj\n" + _empty_update(content, 23)


def trailer_in_no_table(content: bytes) -> bytes:
    return content + b"\ntrailer <</Root 999 0 R>>\n" + _empty_update(content, 28)


def key_that_stands_twice(content: bytes) -> bytes:
    """The page as it was, for whoever takes the first of two keys; with other contents for the rest."""
    reader = PdfFileReader(BytesIO(content))
    page = reader.root["/Pages"]["/Kids"].raw_get(0)
    out = BytesIO()
    page.get_object().write_to_stream(out, handler=None)
    body = out.getvalue().rstrip().removesuffix(b">>") + b"/Contents 999 0 R >>"
    at = len(content) + 1
    update = b"\n%d 0 obj\n%s\nendobj\n" % (page.idnum, body)
    return (
        content
        + update
        + _empty_update(content, len(update), b"%d 1\n%010d 00000 n \n" % (page.idnum, at))
    )


def _empty_update(content: bytes, after: int, entries: bytes = b"0 0\n") -> bytes:
    reader = PdfFileReader(BytesIO(content))
    told = (
        reader.trailer_view["/Size"], reader.trailer_view.raw_get("/Root").idnum,
        content.rsplit(b"startxref", 1)[1].split()[0], len(content) + after,
    )  # fmt: skip
    return (
        b"xref\n"
        + entries
        + b"trailer\n<</Size %d/Root %d 0 R/Prev %s>>\nstartxref\n%d\n%%%%EOF\n" % told
    )


CHANGES: dict[str, Callable[[bytes], bytes]] = {
    "a white box": white_box,
    "a stamp": annotation,
    **{
        change.__name__: lambda content, change=change: written(content, change)  # type: ignore[misc]
        for change in (
            other_title, script_on_opening, visible_field, moved_place, other_look_of_a_signature,
            page_added, look_without_a_signature, look_with_a_signature_that_is_nowhere,
            look_with_a_stamp_in_place_of_a_signature, note_that_needs_no_room, field_that_acts,
            field_with_others_below, field_with_a_border, field_with_something_else_as_signature,
            field_that_is_a_page, field_that_says_something_aloud,
        )
    },
    "another name of the document": lambda content: other_trailer(content, b"/Info 1 0 R"),
    "an encryption that was not there": lambda content: other_trailer(content, b"/Encrypt 1 0 R"),
    "an object in no table": object_in_no_table,
    "a trailer in no table": trailer_in_no_table,
}  # fmt: skip
