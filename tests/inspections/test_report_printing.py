"""The PDF is made apart, from our own files only, and never with an empty box in it."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.conf import settings

from inspections.reports import render
from inspections.reports.printable import covered_by, printable, printed
from inspections.reports.render import Page, PdfNotMade, rendered
from inspections.reports.render_child import allowed_path

AT = datetime(2026, 2, 10, 9, 30, tzinfo=UTC)
HTML = '<!doctype html><html lang="en"><head><title>A page</title></head><body>{}</body></html>'
PROJECT = Path(settings.BASE_DIR)
FONTS = PROJECT / "static" / "fonts" / "pdf"


def make_page(body: str) -> Page:
    return Page(HTML.format(body), '{"a":"b"}', "0" * 64, "A4", AT, {})


def test_the_same_page_gives_the_same_bytes() -> None:
    first, again = (rendered(make_page("<p>The Larkspur</p>"), PROJECT) for _ in range(2))
    assert first.startswith(b"%PDF-1.7")
    assert first == again


@pytest.mark.parametrize(
    "address", ["http://127.0.0.1:9/x.jpg", "file:///etc/hostname", "kept:/../manage.py"]
)
def test_an_address_that_is_not_ours_stops_the_report(address: str) -> None:
    with pytest.raises(PdfNotMade, match="may not fetch"):
        rendered(make_page(f'<img alt="x" src="{address}">'), PROJECT)


def test_a_glyph_that_no_font_has_stops_the_report_instead_of_an_empty_box() -> None:
    with pytest.raises(PdfNotMade, match="notdef"):
        rendered(make_page("<p>\u6f22</p>"), PROJECT)


def test_what_no_font_can_print_is_printed_as_its_code() -> None:
    covered = covered_by(FONTS)
    assert printable("\u6f22 9.5 mm \u2264 10", covered) == "[U+6F22] 9.5 mm \u2264 10"
    assert printable("Größe Łódź Ωμ ½ Ø", covered) == "Größe Łódź Ωμ ½ Ø"
    assert printed(("a\u202eb", ("\x07",)), covered) == ("a[U+202E]b", ("[U+0007]",))


def test_a_crash_in_the_child_is_an_error_here_and_nothing_more(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    crash = "import os, signal; os.kill(os.getpid(), signal.SIGSEGV)"
    monkeypatch.setattr(render.sys, "executable", "/bin/false")
    with pytest.raises(PdfNotMade, match="ended with code 1"):
        rendered(make_page("<p>x</p>"), PROJECT)
    monkeypatch.undo()
    run = render.subprocess.run
    monkeypatch.setattr(
        render.subprocess, "run", lambda command, **known: run([command[0], "-c", crash], **known)
    )
    with pytest.raises(PdfNotMade, match="code -11"):
        rendered(make_page("<p>x</p>"), PROJECT)


def test_a_page_that_takes_too_long_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(render, "WALL_SECONDS", 0.01)
    with pytest.raises(PdfNotMade, match="not ready in time"):
        rendered(make_page("<p>x</p>"), PROJECT)


def test_the_child_is_not_given_the_secrets(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: dict[str, str] = {}

    def look(command: list[str], **known: dict[str, str]) -> None:
        seen.update(known["env"])
        raise OSError

    monkeypatch.setattr(render.subprocess, "run", look)
    with pytest.raises(PdfNotMade):
        rendered(make_page("<p>x</p>"), PROJECT)
    assert "PATH" in seen
    assert not [name for name in seen if name.startswith("LOFTBOOK_")]


def test_only_pictures_of_this_report_and_bundled_fonts_may_be_read(tmp_path: Path) -> None:
    picture = tmp_path / "abc.jpg"
    picture.write_bytes(b"x")
    static = PROJECT / "static"
    assert allowed_path("kept:/abc.jpg", tmp_path, static) == picture
    font = FONTS / "NotoSans-Regular.ttf"
    assert allowed_path(font.as_uri(), tmp_path, static) == font
    refused = [
        "kept:/sub/abc.jpg",
        "kept:/%2e%2e/abc.jpg",
        "data:image/png;base64,AA",
        "ftp://x/abc.jpg",
    ]
    refused += [picture.as_uri(), (PROJECT / "manage.py").as_uri(), "kept:/other.jpg"]
    assert [allowed_path(url, tmp_path, static) for url in refused] == [None] * 7
