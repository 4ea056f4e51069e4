"""Turn one prepared page into a PDF, in a process of its own with little memory and no network.

`python -m inspections.reports.render_child FOLDER`: the folder holds `order.json`, the page, its
photographs and record.json; `report.pdf` is left there. A crash here is an error for the one who
asked, never the end of a web process.
"""

from __future__ import annotations

import json
import logging
import resource
import sys
from datetime import datetime
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

MEMORY = 1_500_000_000
SECONDS = 60


class _Faults(logging.Handler):
    """Keeps what the library only mentions: a glyph without an outline, a picture not found."""

    def __init__(self) -> None:
        super().__init__(logging.WARNING)
        self.lines: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())


def main(folder: Path) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    order = json.loads((folder / "order.json").read_text(encoding="utf-8"))
    faults = _Faults()
    logging.getLogger("weasyprint").addHandler(faults)
    pdf = _written(folder, order)
    if faults.lines:
        raise SystemExit("the page is not whole: " + "; ".join(faults.lines[:5]))
    (folder / "report.pdf").write_bytes(pdf)


def _written(folder: Path, order: dict[str, Any]) -> bytes:
    # Imported after the limits are set: the library needs Pango, which may be missing or broken.
    import weasyprint
    from weasyprint.text.fonts import FontConfiguration

    from inspections.reports.archive_marks import mark_archive

    fetcher = _fetcher(folder, Path(order["styles"]).parent.parent)
    fonts = FontConfiguration()
    styles = weasyprint.CSS(filename=order["styles"], font_config=fonts, url_fetcher=fetcher)
    paper = weasyprint.CSS(string=f"@page {{ size: {order['paper']} }}")
    page = weasyprint.HTML(
        string=(folder / "page.html").read_text("utf-8"), base_url="kept:/", url_fetcher=fetcher
    )
    return page.write_pdf(
        stylesheets=[styles, paper],
        font_config=fonts,
        attachments=_attachments(folder, order),
        pdf_variant="pdf/a-3a",
        pdf_identifier=order["identifier"].encode(),
        finisher=mark_archive,
    )


def _attachments(folder: Path, order: dict[str, Any]) -> list[Any]:
    from weasyprint import Attachment

    at = datetime.fromisoformat(order["at"])
    said = "Everything this report says, as canonical JSON (RFC 8785)"
    return [
        Attachment(
            string=(folder / "record.json").read_text("utf-8"),
            base_url="record.json",
            name="record.json",
            description=said,
            created=at,
            modified=at,
            relationship="Data",
        )
    ]


def _fetcher(folder: Path, static: Path) -> Any:
    from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

    class OnlyOurs(URLFetcher):
        """The bundled fonts and the photographs of this report; everything else stops the work."""

        def fetch(self, url: str, headers: object = None) -> URLFetcherResponse:
            path = allowed_path(url, folder, static)
            if path is None:
                raise FatalURLFetchingError(f"a report may not fetch {url[:200]}")
            kind = "font/ttf" if path.suffix == ".ttf" else "image/jpeg"
            return URLFetcherResponse(url, path.read_bytes(), {"Content-Type": kind})

    return OnlyOurs()


def allowed_path(url: str, folder: Path, static: Path) -> Path | None:
    """The file behind an address a report may use, or None.

    >>> allowed_path("https://example.org/x.jpg", Path("/job"), Path("/static")) is None
    True
    >>> allowed_path("kept:/../../etc/passwd", Path("/job"), Path("/static")) is None
    True
    """
    parts = urlsplit(url)
    name = Path(unquote(parts.path)).name
    if parts.scheme == "kept" and unquote(parts.path) == f"/{name}" and name.endswith(".jpg"):
        return _existing(folder / name)
    fonts = static / "fonts" / "pdf"
    if (
        parts.scheme == "file"
        and Path(unquote(parts.path)) == fonts / name
        and name.endswith(".ttf")
    ):
        return _existing(fonts / name)
    return None


def _existing(path: Path) -> Path | None:
    return path if path.is_file() else None


if __name__ == "__main__":
    main(Path(sys.argv[1]))
