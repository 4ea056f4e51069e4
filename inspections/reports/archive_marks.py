"""What the PDF library leaves out of an archive file, put in just before the file is written.

The library claims one profile at a time; this adds the identification of PDF/UA-1 beside
PDF/A-3a (with the extension schema that PDF/A asks for), and the scope of header cells.
"""

from __future__ import annotations

from typing import Any

PRINTED_AND_LOCKED = 132  # flags of an annotation (ISO 32000-1, table 165)

PDFUA = """<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
<pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#"
 xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>The part of ISO 14289 that is claimed</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"""


def mark_archive(document: Any, pdf: Any) -> None:
    """The finisher handed to the PDF library."""
    _claim_accessible(pdf)
    # The library names the one attachment twice.
    attached = pdf.catalog["AF"]
    attached[:] = dict.fromkeys(attached)
    for element in pdf.objects:
        if isinstance(element, dict) and element.get("S") == "/TH":
            element["A"]["Scope"] = "/Column" if _inside_head(element, pdf) else "/Row"
        elif isinstance(element, dict) and element.get("S") == "/Form":
            # What looks for changes between two signatures knows a single kid only.
            (element["K"],) = element["K"]
    _make_places(pdf)


def _make_places(pdf: Any) -> None:
    """Of each tick box a place for a signature, tagged where it stands, with an empty look."""
    form = pdf.catalog.get("AcroForm")
    if form is None:
        return
    form.pop("NeedAppearances"), form.pop("DR")
    for reference in form["Fields"]:
        field = _referred(reference, pdf)
        look = field["AP"]["N"]["on"]
        _referred(look, pdf).stream = []
        for name in ("AS", "V", "MK", "Border", "BS"):
            field.pop(name, None)
        left, high, right, low = field["Rect"]
        field |= {"FT": "/Sig", "F": PRINTED_AND_LOCKED}
        field["Rect"][:] = [min(left, right), min(low, high), max(left, right), max(low, high)]
        field["AP"]["N"] = look


def _claim_accessible(pdf: Any) -> None:
    # In the one RDF block: readers ignore a second one.
    metadata = _referred(pdf.catalog["Metadata"], pdf)
    text = b"".join(metadata.stream)
    if text.count(b"</rdf:RDF>") != 1:
        raise ValueError("the PDF library wrote its metadata in another way than expected")
    # In clear: whoever looks for it needs not unpack it.
    metadata.compress = False
    metadata.stream = [text.replace(b"</rdf:RDF>", PDFUA.encode() + b"</rdf:RDF>")]


def _inside_head(element: Any, pdf: Any) -> bool:
    parent = element
    while "P" in parent:
        parent = _referred(parent["P"], pdf)
        if parent.get("S") == "/THead":
            return True
    return False


def _referred(reference: Any, pdf: Any) -> Any:
    return pdf.objects[int(reference.split()[0])]
