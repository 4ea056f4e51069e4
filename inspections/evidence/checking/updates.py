"""What was appended to a PDF after a signature: further signatures and what later checks need, and
nothing else.

The library's own comparison asks by how many ways each object is reached, which takes minutes for a
tagged report. This one knows what our files may have appended and refuses every other change of an
object that was there: a new object shows only where an old one that was changed leads to it.

Each later revision is held against the signed one, and against the one before it: what one update
added, another must not exchange. A stamp of an authority that nobody knows may be put over anything
by anybody, so what stands here is all that keeps an update without a key from showing something.
The file has been read strictly: where a key stands twice in a dictionary, two programs see two files.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.reader import HistoricalResolver, PdfFileReader
from pyhanko.sign.diff_analysis import (
    DiffPolicy,
    DiffResult,
    ModificationLevel,
    SuspiciousModification,
)

from inspections.evidence.checking.appended_bytes import hidden_in

LATER = ("/DSS", "/Extensions")  # of the catalog: for later checks, never shown
LISTS = ("/Certs", "/CRLs", "/OCSPs", "/VRI")
SIGNED_FIELD = {"/V", "/AP"}
ADDED_FIELD = {"/FT", "/T", "/Type", "/Subtype", "/F", "/Rect", "/P", "/V", "/TU"}
ADDED_SAYS = "Timestamp"  # the library's own words for it, which a reading voice speaks
TRAILER = {"/Size", "/Prev", "/Root", "/Info", "/ID"}
SIGNATURE, STAMP = "/Sig", "/DocTimeStamp"


class OnlySignatures(DiffPolicy):
    """Every revision after the signed one is looked at, each against the signed one."""

    def apply(
        self, old: HistoricalResolver, new: HistoricalResolver, field_mdp_spec: Any = None,
        doc_mdp: Any = None,
    ) -> DiffResult:  # fmt: skip
        """Raises SuspiciousModification."""
        if new.refs_freed_in_revision():
            raise SuspiciousModification("an object was removed")
        _refuse_another_trailer(old.trailer_view, new.trailer_view)
        fields = _added_fields(old, new)
        for reference in new.explicit_refs_in_revision():
            if old.is_ref_unassignable(reference):
                continue  # it was not there before
            before, after = old(reference), new(reference)
            if not (_same(before, after) or _allowed(reference, before, after, old, new, fields)):
                raise SuspiciousModification(f"object {reference.idnum} was changed")
        return DiffResult(ModificationLevel.FORM_FILLING, set())

    def review_file(
        self, reader: PdfFileReader, base_revision: int | HistoricalResolver,
        field_mdp_spec: Any = None, doc_mdp: Any = None,
    ) -> DiffResult | SuspiciousModification:  # fmt: skip
        number = base_revision if isinstance(base_revision, int) else base_revision.revision
        old = reader.get_historical_resolver(number)
        try:
            if hidden := hidden_in(reader, number):
                raise SuspiciousModification(hidden)
            before = old
            for revision in range(number + 1, reader.xrefs.total_revisions):
                new = reader.get_historical_resolver(revision)
                self.apply(old, new)
                if before is not old:
                    self.apply(before, new)
                before = new
        except SuspiciousModification as found:
            return found
        return DiffResult(ModificationLevel.FORM_FILLING, set())


def _allowed(
    reference: Any, before: Any, after: Any, old: HistoricalResolver, new: HistoricalResolver,
    fields: set[Any],
) -> bool:  # fmt: skip
    if reference == old.trailer_view.raw_get("/Root").reference:
        return _catalog_allowed(before, after)
    if reference in _of_later_checks(old):
        return True
    form = old.root.raw_get("/AcroForm") if "/AcroForm" in old.root else None
    if form is not None and _refers(form, reference):
        return _form_allowed(before, after)
    if isinstance(before, generic.ArrayObject):
        return reference in _growing(old) and _longer(before, after, fields)
    if not isinstance(before, generic.DictionaryObject):
        return False
    if before.get("/Type") == "/Page":
        return _but(before, after, {"/Annots"}) and _annotations_allowed(before, after, fields)
    if not (before.get("/FT") == "/Sig" and "/V" not in before):
        return False
    return _signature_in(new, after) == SIGNATURE and _but(before, after, SIGNED_FIELD)


def _refuse_another_trailer(old: Any, new: Any) -> None:
    if not set(new) <= TRAILER:
        raise SuspiciousModification("the file's trailer says more than ours do")
    for name in ("/Root", "/Info"):
        had, has = (each.raw_get(name) if name in each else None for each in (old, new))
        if had != has:
            raise SuspiciousModification("the file begins elsewhere, or is called something else")


def _signature_in(seen: HistoricalResolver, field: Any) -> str:
    """Of which type the signature in a field is; nothing where there is none that would be looked at.
    A look without one would show a name to which nobody ever signed."""
    if not (isinstance(field, generic.DictionaryObject) and "/V" in field):
        return ""
    signed = field.raw_get("/V")
    signed = seen(signed.reference) if isinstance(signed, generic.IndirectObject) else signed
    if not isinstance(signed, generic.DictionaryObject):
        return ""
    whole = all(name in signed for name in ("/ByteRange", "/Contents", "/SubFilter"))
    return str(signed.get("/Type", "")) if whole else ""


def _growing(seen: HistoricalResolver) -> set[Any]:
    """The lists that a signature makes longer: annotations of pages, and the fields of the form."""
    found: set[Any] = set()
    known: set[Any] = set()
    form = seen.root.get("/AcroForm", {})
    lists = [form.raw_get("/Fields")] if "/Fields" in form else []
    waiting = [seen.root.raw_get("/Pages")]
    while waiting:
        each = waiting.pop()
        if isinstance(each, generic.IndirectObject):
            if each.reference in known:
                continue
            known.add(each.reference)
            each = seen(each.reference)
        lists += [each.raw_get("/Annots")] if "/Annots" in each else []
        waiting += _entries(each["/Kids"]) if "/Kids" in each else []
    found.update(each.reference for each in lists if isinstance(each, generic.IndirectObject))
    return found


def _catalog_allowed(before: Any, after: Any) -> bool:
    """A form that is written into the catalog itself is compared as a form."""
    if not _but(before, after, {*LATER, "/AcroForm"}):
        return False
    forms = [each.raw_get("/AcroForm") if "/AcroForm" in each else None for each in (before, after)]
    if isinstance(forms[0], generic.DictionaryObject):
        return _form_allowed(*forms)
    return _same(*forms)


def _form_allowed(before: Any, after: Any) -> bool:
    if not _but(before, after, {"/SigFlags", "/Fields"}):
        return False
    fields = [each.raw_get("/Fields") for each in (before, after)]
    if not isinstance(fields[0], generic.ArrayObject):
        return _same(*fields)
    # What was added to them was looked at before.
    had, has = _entries(fields[0]), _entries(fields[1])
    return bool(has) and has[: len(had)] == had


def _annotations_allowed(before: Any, after: Any, fields: set[Any]) -> bool:
    had = before.raw_get("/Annots") if "/Annots" in before else generic.ArrayObject()
    has = after.raw_get("/Annots") if "/Annots" in after else generic.ArrayObject()
    return _same(had, has) or _longer(had, has, fields)


def _longer(before: Any, after: Any, fields: set[Any]) -> bool:
    """The same and, after it, invisible signature fields that the form has got."""
    if not (isinstance(before, generic.ArrayObject) and isinstance(after, generic.ArrayObject)):
        return False
    had, has = _entries(before), _entries(after)
    return has[: len(had)] == had and all(
        isinstance(each, generic.IndirectObject) and each.reference in fields
        for each in has[len(had) :]
    )


def _entries(array: Any) -> list[Any]:
    """As they are written, references not followed."""
    return (
        [array.raw_get(at) for at in range(len(array))]
        if isinstance(array, generic.ArrayObject)
        else []
    )


def _added_fields(old: HistoricalResolver, new: HistoricalResolver) -> set[Any]:
    """References of the fields that were not there; only invisible signature fields are let in."""
    had = {each.reference for each in _fields(old)}
    added = {each.reference for each in _fields(new)} - had
    for reference in added:
        field = new(reference)
        left, low, right, high = field.get("/Rect", (0, 0, 1, 1))
        shows = left != right or low != high or not set(field) <= ADDED_FIELD
        kind = (field.get("/FT"), field.get("/Subtype", "/Widget"), field.get("/Type", "/Annot"))
        shows = shows or field.get("/TU", ADDED_SAYS) != ADDED_SAYS
        if shows or kind != ("/Sig", "/Widget", "/Annot"):
            raise SuspiciousModification("a field was added that shows something, or does")
        if "/V" in field and _signature_in(new, field) not in (SIGNATURE, STAMP):
            raise SuspiciousModification("a field was added with something else than a signature")
    return added


def _fields(seen: HistoricalResolver) -> Iterator[generic.IndirectObject]:
    if "/AcroForm" in seen.root:
        for each in _entries(seen.root["/AcroForm"].get("/Fields", generic.ArrayObject())):
            if not isinstance(each, generic.IndirectObject):
                raise SuspiciousModification("a field is written in the form itself")
            yield each


def _of_later_checks(old: HistoricalResolver) -> set[Any]:
    """The store of certificates and lists, and its lists. Nothing of it is shown."""
    found = set()
    if "/DSS" in old.root:
        held = [old.root.raw_get("/DSS")]
        store = old.root["/DSS"]
        held += [store.raw_get(name) for name in LISTS if name in store]
        found = {each.reference for each in held if isinstance(each, generic.IndirectObject)}
    return found


def _refers(value: Any, reference: Any) -> bool:
    return isinstance(value, generic.IndirectObject) and value.reference == reference


def _but(before: Any, after: Any, names: set[str]) -> bool:
    """The same dictionary but for these entries."""
    if not (isinstance(before, generic.DictionaryObject) and type(before) is type(after)):
        return False
    kept = [set(each) - names for each in (before, after)]
    return kept[0] == kept[1] and all(
        _same(before.raw_get(name), after.raw_get(name)) for name in kept[0]
    )


def _same(before: Any, after: Any) -> bool:
    if type(before) is not type(after):
        return False
    if isinstance(before, generic.StreamObject) and before.encoded_data != after.encoded_data:
        return False
    if isinstance(before, generic.DictionaryObject):
        return _but(before, after, set())
    if isinstance(before, generic.ArrayObject):
        pairs = zip(_entries(before), _entries(after), strict=False)
        return len(before) == len(after) and all(_same(*pair) for pair in pairs)
    return bool(before == after)
