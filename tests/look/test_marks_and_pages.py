"""Marks, templates and scripts of the look hold to the house rules."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from django.template.loader import render_to_string

from venue.front_files import JOINED, OF_PAGES

ROOT = Path(__file__).resolve().parents[2]
TEMPLATES = [path for path in (ROOT / "templates").rglob("*.html") if "report" not in path.parts]
SPRITE = (ROOT / "static" / "img" / "marks.svg").read_text(encoding="utf-8")
MARKS = set(re.findall(r'<symbol id="([\w-]+)"', SPRITE))
STATES = (
    "fit", "watch", "restrict", "out of service", "retire", "cannot be decided", "late", "planned",
    "due", "done", "not judged",
)  # fmt: skip
# A data block is no script: the browser never runs it.
INLINE = re.compile(
    r"\sstyle=|\son\w+=|<style|<script(?![^>]*(?:\ssrc=|type=\"application/json\"))"
)


def inline_code(text: str) -> list[str]:
    return INLINE.findall(text)


@pytest.mark.parametrize(
    "bad", ['<p style="a">', "<style>a</style>", "<script>a</script>", '<a onclick="a">']
)
def test_inline_code_is_found(bad: str) -> None:
    assert inline_code(bad)


def test_no_template_holds_inline_code() -> None:
    assert len(TEMPLATES) >= 20
    assert [path.name for path in TEMPLATES if inline_code(path.read_text(encoding="utf-8"))] == []


@pytest.mark.parametrize("state", STATES)
def test_every_state_is_shown_with_its_own_mark_and_its_word(state: str) -> None:
    shown = render_to_string("parts/state_mark.html", {"state": state})
    key = state.replace(" ", "-")
    assert key in MARKS
    assert f"#{key}" in shown
    assert f'data-state="{key}"' in shown
    assert state.capitalize() in shown


def test_every_mark_has_a_drawing_of_its_own() -> None:
    drawings = re.findall(r"<symbol[^>]*>(.*?)</symbol>", SPRITE)
    assert len(drawings) == len(MARKS) >= len(STATES)
    assert len(set(drawings)) == len(drawings)


@pytest.mark.parametrize("nothing", ["", None])
def test_a_missing_state_is_shown_as_cannot_be_decided_never_as_a_pass(nothing: str | None) -> None:
    shown = render_to_string("parts/state_mark.html", {"state": nothing})
    assert "Cannot be decided" in shown
    assert 'data-state="cannot-be-decided"' in shown


@pytest.mark.parametrize(
    ("stored", "shown"),
    [("out_of_service", "Out of service"), ("restricted", "Restrict"), ("overdue", "Late")],
)
def test_a_stored_name_is_shown_as_the_word_of_the_house(stored: str, shown: str) -> None:
    assert shown in render_to_string("parts/state_mark.html", {"state": stored})


def test_a_fact_that_is_nought_is_shown_and_one_that_is_missing_is_not_known() -> None:
    shown = render_to_string(
        "parts/facts.html", {"facts": [("Broken wires", 0), ("Rated load", ""), ("Made", None)]}
    )
    assert "<dd>0</dd>" in shown
    assert shown.count("Not known") == 2


@pytest.mark.parametrize("page", ["403.html", "404.html", "500.html"])
def test_an_error_page_needs_no_context_and_carries_the_caution(page: str) -> None:
    assert "When in doubt, take it out of service." in render_to_string(page)


def test_every_mark_that_is_used_exists() -> None:
    used = {
        name
        for path in TEMPLATES
        for name in re.findall(r"marks\.svg' %\}#([\w-]+)", path.read_text(encoding="utf-8"))
    }
    assert len(used) >= 4
    assert used - MARKS == set()


def test_scripts_stay_small_and_write_no_markup() -> None:
    scripts = sorted((ROOT / "static" / "js").rglob("*.js"))
    assert len(scripts) >= 24
    for script in scripts:
        text = script.read_text(encoding="utf-8")
        assert len(text.splitlines()) <= 250, script.name
        assert not re.search(r"innerHTML|insertAdjacentHTML|document\.write|\beval\(", text), (
            script.name
        )


def test_no_module_is_both_started_and_imported_by_another() -> None:
    # What is started by a page is a script of its own there: imported too, it would run twice.
    imported = {
        name.removeprefix("./")
        for script in (ROOT / "static" / "js").rglob("*.js")
        for name in re.findall(r'from "(?:[./\w]*/)([\w-]+\.js)"', script.read_text("utf-8"))
    }
    assert len(imported) >= 20
    started = {Path(name).name for names in JOINED.values() for name in names}
    assert len(started) >= 14
    assert imported & started == set()


def test_a_page_has_no_script_that_could_say_nothing_but_english() -> None:
    """What stands in static/js is English; what is joined is told in the language of the page."""
    texts = [path.read_text(encoding="utf-8") for path in TEMPLATES]
    asked = [name for text in texts for name in re.findall(r"page_script_address '([\w-]+)'", text)]
    assert set(asked) == set(OF_PAGES)
    assert [text[:60] for text in texts if re.search(r"static ['\"]js/", text)] == []
