"""Many small modules go to the phone as one script, many sheets as one style."""

from __future__ import annotations

import gzip
import re
from collections.abc import Callable
from pathlib import Path

import brotli
import pytest
from django.conf import settings
from django.test import Client

from tests.script_names import had_by_chance
from venue.front_files import desk_script_address, look_address, script_address, style_address
from venue.one_file import EXPORT, IMPORT, beside, names_made, one_script, one_style
from venue.script_tokens import NotPlain

WHERE = "/static/{}".format
STATIC = Path(settings.BASE_DIR) / "static"
OURS = sorted(file.relative_to(STATIC).as_posix() for file in (STATIC / "js").rglob("*.js"))
TEXTS = {name: (STATIC / name).read_text(encoding="utf-8") for name in OURS}
EXPORTED = {
    found["name"]
    for text in TEXTS.values()
    for line in text.splitlines()
    if (found := EXPORT.match(line))
}
IMPORTED = {
    beside(name, found["where"])
    for name, text in TEXTS.items()
    for line in text.splitlines()
    if (found := IMPORT.match(line))
}


def modules(folder: Path, **texts: str) -> Path:
    for name, text in texts.items():
        (folder / f"{name}.js").write_text(text, encoding="utf-8")
    return folder


def test_what_two_entries_need_is_there_once_and_before_them(tmp_path: Path) -> None:
    root = modules(
        tmp_path,
        store='// Kept.\nexport const NAME = "a";\nexport async function read() {}\n',
        one='import { NAME, read } from "./store.js";\n\n  read(NAME);\n',
        two='import { read } from "./store.js";\nawait read();\n',
    )
    assert one_script(root, ["one.js", "two.js"], WHERE) == (
        'let NAME="a";async function read(){}\n'
        "(async()=>{read(NAME)})();"
        "(async()=>{await read()})();\n"
    )


@pytest.mark.parametrize("made", ["export const a = 1;", "const [b, a] = [1];", "function a() {}"])
def test_two_modules_of_one_script_make_no_name_twice(tmp_path: Path, made: str) -> None:
    root = modules(
        tmp_path,
        one='import { a } from "./two.js";\nimport { c } from "./three.js";\n',
        two="export const a = 1;\n",
        three=f"{made}\nexport const c = 2;\n",
    )
    with pytest.raises(NotPlain, match=r"three\.js makes a, and two\.js does"):
        one_script(root, ["one.js"], WHERE)


def test_what_is_started_may_make_any_name(tmp_path: Path) -> None:
    root = modules(
        tmp_path, one="const a = 1;\n", two='import { b } from "./three.js";\nconst a = b;\n',
        three="export const b = 1;\n",
    )  # fmt: skip
    told = one_script(root, ["one.js", "two.js"], WHERE)
    assert told == "let b=1;(async()=>{let a=1})();(async()=>{let a=b})();\n"


@pytest.mark.parametrize("names", ["missing", "a, missing", "a as b"])
def test_what_another_module_does_not_export_by_that_name_is_not_had(
    tmp_path: Path, names: str
) -> None:
    root = modules(
        tmp_path, one=f'import {{ {names} }} from "./two.js";', two="export const a = 1;"
    )
    with pytest.raises(NotPlain, match=r"one.js takes .* from ./two.js"):
        one_script(root, ["one.js"], WHERE)


@pytest.mark.parametrize("name", OURS)
def test_what_another_module_makes_is_imported_and_not_had_by_chance(name: str) -> None:
    """Joined, it would be there without being asked for; on another page it would not. So would what
    it keeps to itself, in the place of what the browser calls so."""
    kept = {made for each in IMPORTED for made in names_made(TEXTS[each])}
    assert len(kept) > 300
    assert had_by_chance(TEXTS[name], EXPORTED | kept) == set()


def test_what_is_had_by_chance_is_found() -> None:
    text = """
import { fact } from "./a.js";
const { one, two: [three] } = fact;
const take = ([four], { five = 1 }) => four.six(five) + seven;
async function eight(nine) { if (ten) for (const each of nine) each.go({ twelve: three, thirteen }); }
"""
    made = {"one", "two", "three", "four", "five", "eight", "nine", "each"}
    had = {"seven", "ten", "thirteen"}
    assert had_by_chance(text, {"fact", "six", "twelve", *made, *had}) == had


def test_what_is_asked_for_only_when_needed_stays_by_itself(tmp_path: Path) -> None:
    root = modules(tmp_path, one='const reader = await import("./far/reader.js");\n')
    assert 'await import("/static/far/reader.js")' in one_script(root, ["one.js"], WHERE)


@pytest.mark.parametrize(
    "text",
    [
        'import one from "./store.js";',
        "export default 1;",
        "export let changing = 1;",
        "const text = `one\ntwo`;",
        'import { a } from "./one.js";',
        "export const started = 1;",
    ],
)
def test_a_form_that_could_be_joined_wrongly_is_refused(tmp_path: Path, text: str) -> None:
    root = modules(tmp_path, one=text, store="export const one = 1;")
    with pytest.raises(NotPlain):
        one_script(root, ["one.js"], WHERE)


def test_a_style_names_its_typeface_by_its_own_address(tmp_path: Path) -> None:
    (tmp_path / "a.css").write_text('/* Why.\n */\nb { src: url("../fonts/f.woff2"); }\n')
    (tmp_path / "b.css").write_text("c { top: 0; }\n")
    told = one_style(tmp_path, ["a.css", "b.css"], "/s/{}".format)
    assert told == 'b { src: url("/s/fonts/f.woff2"); }\nc { top: 0; }\n'


@pytest.mark.parametrize(
    "address", [script_address, desk_script_address, style_address, look_address]
)
def test_under_the_address_of_its_content_it_is_kept_for_good_and_packed(
    address: Callable[[], str],
) -> None:
    page = address()
    plain = Client().get(page)
    assert "immutable" in plain["Cache-Control"]
    packed = Client().get(page, headers={"accept-encoding": "gzip, br"})
    assert packed["Content-Encoding"] == "br"
    assert brotli.decompress(packed.content) == plain.content
    older = Client().get(page, headers={"accept-encoding": "gzip"})
    assert gzip.decompress(older.content) == plain.content
    for answer in (plain, packed, older):  # the same for everybody, whatever cookies they have
        assert answer["Vary"] == "Accept-Encoding"
        assert not {"Content-Security-Policy", "Cross-Origin-Opener-Policy"} & set(answer.headers)
    assert Client().get(page, headers={"if-none-match": plain["ETag"]}).status_code == 304
    assert len({answer["ETag"] for answer in (plain, packed, older)}) == 3, (
        "other bytes, another tag"
    )
    for tag, status in ((packed["ETag"], 304), (older["ETag"], 200)):
        again = {"if-none-match": tag, "accept-encoding": "gzip, br"}
        assert Client().get(page, headers=again).status_code == status


def test_a_coding_that_a_browser_refuses_is_not_sent() -> None:
    for wanted in ("br;q=0, gzip;q=0", "brotli", ""):
        answer = Client().get(style_address(), headers={"accept-encoding": wanted})
        assert "Content-Encoding" not in answer.headers, wanted


def test_under_an_older_address_the_present_one_is_given_and_not_kept() -> None:
    answer = Client().get(f"{script_address()}0")
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "no-cache"


def test_every_module_of_the_phone_is_in_the_one_script() -> None:
    script = Client().get(script_address()).content.decode()
    folder = Path(settings.BASE_DIR) / "static" / "js" / "phone"
    exported = re.compile(r"^export ((?:async )?(?:function\*?|class|const) \w+)", re.MULTILINE)
    found = {file.stem: exported.search(file.read_text("utf-8")) for file in folder.glob("*.js")}
    made = {stem: first[1] for stem, first in found.items() if first}
    assert len(made) >= 15
    as_joined = {stem: words.replace("const ", "let ") for stem, words in made.items()}
    assert {stem for stem, words in as_joined.items() if script.count(words) != 1} == set()
