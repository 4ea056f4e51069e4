"""The QR code of a tag, as inline SVG without script or style."""

from __future__ import annotations

import io
from functools import lru_cache

import segno


@lru_cache(maxsize=1024)  # the sheet is looked at, then printed
def tag_svg(address: str, title: str | None = None) -> str:
    """An SVG element that any phone camera reads. Error correction Q: a scratched tag still works.
    `title` says what it is to whoever cannot see it.

    >>> tag_svg("http://example.test/t/W1/").startswith("<svg")
    True
    """
    out = io.BytesIO()
    segno.make(address, error="q", micro=False).save(
        out,
        kind="svg",
        xmldecl=False,
        svgns=True,
        title=title,
        nl=False,
        scale=4,
        border=2,
        svgclass="qr",
        lineclass=None,
        omitsize=True,
    )
    return out.getvalue().decode()
