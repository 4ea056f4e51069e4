"""Every page in the made-up language, whose texts are 40 % longer and whose words are as long as
German ones, at a desk and on a phone: nothing scrolls sideways, no words are cut off or broken, and
none lie over others or beside their own button. Then each text on the phone ends in sixty letters
without a space, as somebody may type them: the page still stands in its width.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.browser.test_accessibility import NOT_PAGES, TOO_WIDE, house, opened, pages
from tests.browser.test_phone_check import sign_in
from tests.pseudo_language import CODE
from tests.test_every_word import made_up
from venue.languages import LANGUAGES
from venue.models import Person

__all__ = ["house", "made_up"]
pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True), pytest.mark.long]

SIZES = {"desk": (1440, 900), "phone": (390, 844)}
MAIN = {
    "overview", "equipment_list", "equipment", "year_plan", "year_board", "task_list", "finding_list",
    "order_list", "reports", "house", "set_up", "round", "fill_check", "ask_question",
}  # fmt: skip
# Where words stand: each line of each text, as much of it as its frames show. What stands fast at an
# edge of the window lies over the page on purpose; what is drawn has its own tests.
LINES = """() => {
    const shown = (element) => element.checkVisibility({ visibilityProperty: true })
        && !element.closest(".unseen, .skip, svg, script, style, [aria-hidden=true], dialog:not([open])");
    const fast = (element) => {
        for (let each = element; each; each = each.parentElement)
            if (["fixed", "sticky"].includes(getComputedStyle(each).position)) return true;
        return false;
    };
    const within = (box, element) => {
        let { left, top, right, bottom } = box;
        for (let each = element; each; each = each.parentElement) {
            if (getComputedStyle(each).overflow === "visible") continue;
            const frame = each.getBoundingClientRect();
            [left, top] = [Math.max(left, frame.left), Math.max(top, frame.top)];
            [right, bottom] = [Math.min(right, frame.right), Math.min(bottom, frame.bottom)];
        }
        return { left, top, right, bottom };
    };
    const lines = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let text = walker.nextNode(); text; text = walker.nextNode()) {
        const element = text.parentElement;
        if (!text.data.trim() || !shown(element)) continue;
        const range = document.createRange();
        range.selectNodeContents(text);
        for (const box of range.getClientRects())
            if (box.width > 1 && box.height > 1)
                lines.push({ text, element, fast: fast(element), whole: box, ...within(box, element) });
    }
    return lines;
}"""
LIE_OVER = (
    """() => {
    const lines = ("""
    + LINES
    + """)().filter(({ fast, left, right, top, bottom }) => !fast && right - left > 1 && bottom - top > 1);
    const words = ({ text }) => text.data.trim().slice(0, 40);
    lines.sort((one, other) => one.top - other.top);
    const wrong = [];
    lines.forEach((one, place) => {
        for (const other of lines.slice(place + 1)) {
            if (other.top >= one.bottom) break;
            const high = Math.min(one.bottom, other.bottom) - other.top;
            const wide = Math.min(one.right, other.right) - Math.max(one.left, other.left);
            // The room of two lines may meet; letters then do not.
            if (one.text !== other.text && wide > 2 && high > 0.4 * Math.min(one.whole.height, other.whole.height))
                wrong.push(`“${words(one)}” and “${words(other)}” lie over each other`);
        }
    });
    for (const { element, whole } of lines) {
        const button = element.closest("button, .button, .choice, .tick, summary, th, td, dt, dd, .mark-words");
        const box = button?.getBoundingClientRect();
        if (box && (whole.right > box.right + 1 || whole.left < box.left - 1))
            wrong.push(`beside its place: ${button.outerHTML.slice(0, 140)}`);
    }
    return [lines.length, wrong];
}"""
)
CUT_LOW = """() => [...document.body.querySelectorAll("*")].filter((element) => {
    const { scrollHeight, clientHeight } = element;
    if (scrollHeight <= clientHeight + 2 || !clientHeight || !element.innerText?.trim()) return false;
    const style = getComputedStyle(element);
    return ["hidden", "clip"].includes(style.overflowY) && style.clipPath === "none" && style.position !== "absolute";
}).map((element) => `cut off below: ${element.outerHTML.slice(0, 140)}`)"""
# A word that would stand on one line of a phone twice over is whole wherever it stands.
BROKEN = """() => {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    const unseen = (element) => {
        for (let each = element; each; each = each.parentElement)
            if (getComputedStyle(each).clipPath !== "none") return true;
        return !element.checkVisibility({ visibilityProperty: true });
    };
    const wrong = [];
    for (let text = walker.nextNode(); text; text = walker.nextNode()) {
        const element = text.parentElement;
        if (!text.data.trim() || unseen(element) || element.closest(".hash, svg")) continue;
        for (const word of text.data.matchAll(/(?<!\\S)[^\\s\\p{P}]{3,13}(?!\\S)/gu)) {
            const range = document.createRange();
            range.setStart(text, word.index);
            range.setEnd(text, word.index + word[0].length);
            if (new Set([...range.getClientRects()].map(({ top }) => Math.round(top))).size > 1)
                wrong.push(`broken: ${word[0]} in ${element.outerHTML.slice(0, 140)}`);
        }
    }
    return wrong;
}"""
# As an address that somebody typed into a remark: it ends every text that may hold what was typed.
TYPED_WITHOUT_A_SPACE = """() => {
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    let number = 0;
    for (let text = walker.nextNode(); text; text = walker.nextNode())
        if (text.data.trim() && text.parentElement.closest("p, dd, td, th, li, h1, h2, h3, label, legend, .help")
            && !text.parentElement.closest("button, select, script, svg, .button, .masthead, .unseen, .figures, "
                + ".date, .figure, .unit, .ways-in label"))
            [text.data, number] = [`${text.data} ${"w".repeat(60)}`, number + 1];
    return number;
}"""


@pytest.fixture
def made_up_house(settings: Any, made_up: Path, house: Any) -> Any:
    settings.LANGUAGES = [*LANGUAGES, (CODE, "Made up")]
    settings.LOCALE_PATHS = [made_up]
    Person.objects.update(language=CODE)
    return house


def all_that_is_wrong(page: Any) -> tuple[int, list[str]]:
    """How many lines of words a page has, and what is wrong with them."""
    lines, wrong = page.evaluate(LIE_OVER)
    return lines, [
        *wrong,
        *page.evaluate(TOO_WIDE),
        *page.evaluate(CUT_LOW),
        *page.evaluate(BROKEN),
    ]


def test_words_that_lie_over_others_are_found(tab: Any) -> None:
    page = tab({"width": 390, "height": 844})
    page.set_content(
        """<p>Fine words</p><p style="margin-top:-3em">Over the fine words</p>
        <p style="white-space:nowrap">{}</p><div style="overflow:hidden;height:10px"><p>One</p><p>Two</p></div>
        <button style="width:40px;white-space:nowrap">Longer than its button</button>""".format(
            "wide " * 80
        )
    )
    lines, wrong = all_that_is_wrong(page)
    assert lines >= 4
    for words in ("lie over each other", "pixels too wide", "cut off below", "beside its place"):
        assert [each for each in wrong if words in each], (words, wrong)
    page.set_content("<p>Fine words</p><p>And more of them</p><button>Go</button>")
    assert all_that_is_wrong(page) == (3, [])


def test_every_page_holds_words_that_are_longer(
    made_up_house: Any, chromium: Any, live_server: Any
) -> None:
    context = chromium.new_context(base_url=live_server.url)
    page = context.new_page()
    known: set[str] = set()
    wrong, lines, typed = [], 0, 0
    for who in ("competent", "manager", "auditor"):
        page.context.clear_cookies()
        sign_in(page, who, "/v/larkspur/")
        for name, where in pages(made_up_house, who).items():
            if name in known or name in NOT_PAGES or not opened(page, where):
                continue
            known.add(name)
            for size, (width, height) in SIZES.items():
                page.set_viewport_size({"width": width, "height": height})
                number, found = all_that_is_wrong(page)
                lines += number
                wrong += [f"{name}, {size}: {each}" for each in dict.fromkeys(found)]
            typed += page.evaluate(TYPED_WITHOUT_A_SPACE)
            wrong += [f"{name}, typed: {each}" for each in page.evaluate(TOO_WIDE)]
    context.close()
    assert not wrong, "\n".join(wrong)
    assert len(known) >= 100
    assert known >= MAIN
    assert lines > 5000
    assert typed > 3000
