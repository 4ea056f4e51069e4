"""The contrast of every pair of tokens that meet on a page, computed from the style sheet itself.

Formula: relative luminance and contrast ratio as defined in WCAG 2.2 (W3C, 2023), glossary.
Limits: 4.5 to 1 for text (1.4.3), 3 to 1 for edges of controls and for marks (1.4.11).
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

CSS = Path(__file__).resolve().parents[2] / "static" / "css"
TOKENS = (CSS / "tokens.css").read_text(encoding="utf-8")
THEMES = ("light", "dark", "stage-blue")
GROUNDS = ("paper", "sheet", "sunk")
STATES = ("fit", "watch", "restrict", "out", "retire", "undecided", "late", "planned")
TEXT_PAIRS = [(text, ground) for text in ("ink", "ink-2", *STATES) for ground in GROUNDS]
TEXT_PAIRS += [("on-main", "main"), ("on-banner", "banner")]
EDGE_PAIRS = [(edge, ground) for edge in ("edge", "main-edge", "focus") for ground in GROUNDS]


def colours_in(block: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+):\s*(#[0-9a-f]{6});", block))


def block_after(marker: str) -> str:
    start = TOKENS.index(marker)
    return TOKENS[start : TOKENS.index("}", start)]


def theme(name: str) -> dict[str, str]:
    return colours_in(block_after(f"/* theme: {name}."))


def luminance(colour: str) -> float:
    channels = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def too_faint(colours: dict[str, str], pairs: list[tuple[str, str]], limit: float) -> list[str]:
    ratios = [(front, ground, contrast(colours[front], colours[ground])) for front, ground in pairs]
    return [f"{front} on {ground}: {ratio:.2f}" for front, ground, ratio in ratios if ratio < limit]


def test_black_on_white_is_21_to_1_and_a_colour_on_itself_1_to_1() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#837a67", "#837a67") == pytest.approx(1)


def test_a_pair_too_faint_to_read_is_reported() -> None:
    faint = {"ink": "#999999", "paper": "#ffffff"}
    assert too_faint(faint, [("ink", "paper")], 4.5) == ["ink on paper: 2.85"]


@pytest.mark.parametrize("name", THEMES)
def test_all_text_can_be_read_in_every_theme(name: str) -> None:
    assert len(TEXT_PAIRS) == 32
    assert too_faint(theme(name), TEXT_PAIRS, 4.5) == []


@pytest.mark.parametrize("name", THEMES)
def test_edges_of_controls_and_the_focus_ring_can_be_seen_in_every_theme(name: str) -> None:
    assert too_faint(theme(name), EDGE_PAIRS, 3.0) == []


@pytest.mark.parametrize("name", THEMES)
def test_the_out_of_service_banner_stands_out_from_the_page_by_its_edge(name: str) -> None:
    colours = theme(name)
    assert (
        max(
            contrast(colours["out"], colours["paper"]),
            contrast(colours["banner"], colours["paper"]),
        )
        >= 3
    )


@pytest.mark.parametrize("name", THEMES)
def test_every_theme_sets_every_colour(name: str) -> None:
    assert len(theme("light")) == 21
    assert set(theme(name)) == set(theme("light"))


def test_the_dark_theme_is_the_same_whether_chosen_or_asked_for_by_the_device() -> None:
    assert colours_in(block_after("@media (prefers-color-scheme: dark)")) == theme("dark")


def test_stage_blue_is_the_dimmest_theme_and_fills_no_button() -> None:
    blue, dark = theme("stage-blue"), theme("dark")
    assert luminance(blue["ink"]) < luminance(dark["ink"]) / 2
    assert blue["main"] == blue["paper"]


def test_no_style_sheet_but_the_tokens_names_a_colour() -> None:
    sheets = [
        sheet
        for sheet in CSS.glob("*.css")
        if sheet.name not in ("tokens.css", "print.css", "report.css")
    ]
    assert len(sheets) >= 3
    named = [
        f"{sheet.name}: {colour}"
        for sheet in sheets
        for colour in re.findall(
            r"#[0-9a-f]{3,8}\b(?=[;,) ])|rgba?\(|hsla?\(", sheet.read_text("utf-8")
        )
    ]
    assert named == []


def test_what_turns_a_canvas_over_in_the_dark_leaves_a_calculators_drawing_alone() -> None:
    """Both are called a drawing; the one of a calculator follows the look by itself."""
    joined = "".join(
        sheet.read_text("utf-8") for sheet in CSS.glob("*.css") if sheet.name != "calculators.css"
    )
    assert "canvas.drawing" in joined
    assert re.findall(r"(?<!canvas)\.drawing\b", joined) == []
