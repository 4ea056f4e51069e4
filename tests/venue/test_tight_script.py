"""A script goes to the phone without comments, spare spaces and spare signs, and says the same."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from django.conf import settings

from venue.front_files import SCRIPTS
from venue.needed_signs import needed
from venue.one_file import one_script
from venue.script_tokens import NotPlain, Token, tokens
from venue.tight_script import tight

STATIC = Path(settings.BASE_DIR) / "static"
OURS = sorted(file.relative_to(STATIC).as_posix() for file in (STATIC / "js").rglob("*.js"))


def said(text: str) -> list[tuple[str, str]]:
    return [(token.kind, token.text) for token in tokens(text)]


def without_spare(told: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Without the signs that say nothing, by a second rule: each is a stretch that is put for a longer one."""
    written = "\0".join(f"{kind}\1{text}" for kind, text in told)
    for spare, put in SPARE:
        written = re.sub(spare, put, written)
    parts = (each.split("\1", 1) for each in written.split("\0"))
    return [(kind, text) for kind, text in parts]


def kinds(text: str) -> str:
    return " ".join(f"{token.kind}:{token.text}" for token in tokens(text))


S = "sign\1"
SPARE = (
    (f"{S};\0(?={S}\\}}(?:\0|$))", ""),
    (f"(?<!\1,\0)(?<!\1\\[\0){S},\0(?={S}[)\\]}}](?:\0|$))", ""),
    (f"{S}\\(\0(word\1[^\0]+)\0{S}\\)\0(?={S}=>)", r"\1" + "\0"),
    ("word\1const(?=\0)", "word\1let"),
)
ANEW = {"=", "+=", "-=", "*=", "/=", "%=", "**=", "&=", "|=", "^=", "??=", "||=", "&&=", "++", "--"}
GIVEN = {"(", ",", "{", "[", "const", "let"}


def put_anew(text: str) -> tuple[set[str], set[str]]:
    """What a script makes by `const` alone, and what of it is put anew. What it makes by `let` may
    have the same name elsewhere; a name with a value in a bracket, where no statement begins, is
    what a function takes or a list is taken apart into."""
    told = [Token("sign", ";"), *tokens(text), Token("sign", ";")]
    made: dict[str, set[str]] = {"const": set(), "let": set()}
    anew = set()
    for place, (before, here, after) in enumerate(zip(told, told[1:], told[2:], strict=False), 1):
        if here.text in made and here.kind == "word":
            made[here.text] |= set(names_at(told[place + 1 :]))
        elif here.kind == "word" and (after.text in ANEW or before.text in ("++", "--")):
            given = before.text in GIVEN and not here.new_line and after.text == "="
            anew |= set() if given or before.text in (".", "?.") else {here.text}
    constants = made["const"] - made["let"]
    return constants, constants & anew


def names_at(told: list[Token]) -> Iterator[str]:
    """The name that is made there, or all those of a bracket."""
    depth = 0
    for here, after in pairwise(told):
        depth += (here.text in ("{", "[")) - (here.text in ("}", "]"))
        if here.kind == "word" and after.text != ":":
            yield here.text
        if not depth:
            return


def ends_by_a_line_break(one: Token, other: Token) -> bool:
    """Whether the language may have ended a statement at the break between these two: not where one
    of them plainly goes on. Written here again, by another rule than the one that is tried."""
    closed = one.is_worded or one.kind in ("text", "expression") or one.text in (")", "]", "}")
    closed = closed or one.text in ("++", "--") or one.text.endswith("`")
    begun = other.is_worded or other.kind in ("text", "expression") or other.text[0] in "([{`+-/!~"
    return closed and begun


@pytest.mark.parametrize("name", OURS)
def test_every_file_says_the_same_before_and_after(name: str) -> None:
    before = (STATIC / name).read_text(encoding="utf-8")
    after = tight(before)
    assert said(after) == without_spare(said(before))
    assert tight(after) == after
    breaks = [token.new_line for token in tokens(after)][1:]
    for (one, other), kept in zip(pairwise(needed(list(tokens(before)))), breaks, strict=True):
        assert kept or not (other.new_line and ends_by_a_line_break(one, other)), (one, other)


def test_no_constant_is_put_anew_so_it_may_go_as_a_variable() -> None:
    made = "const a = 1;\nconst { d, e: [f = 2] } = g;\nlet b = a;\nb += 1;\nc.a = 2;"
    assert put_anew(made) == ({"a", "d", "f"}, set())
    for wrong in ("a = 2", "a += 1", "++a", "a--", "a ??= 3"):
        assert put_anew(f"const a = 1;\n{wrong};")[1] == {"a"}, wrong
    found = {name: put_anew((STATIC / name).read_text(encoding="utf-8")) for name in OURS}
    assert {name: anew for name, (_, anew) in found.items() if anew} == {}
    assert sum(len(constants) for constants, _ in found.values()) > 500


def test_the_whole_script_says_the_same_when_it_is_made_tight_again() -> None:
    whole = one_script(STATIC, SCRIPTS, "/static/{}".format)
    assert tight(whole) == whole
    assert "//" not in "".join(token.text for token in tokens(whole) if token.kind == "sign")
    assert len(said(whole)) > 30_000


def test_a_text_within_a_text_stays_to_the_letter() -> None:
    # A minifier without this knowledge once took the spaces out of such a verdict.
    text = 'const a = `${b ? `, ${b} of ${c ? "a  b" : `x  ${ d }  y`}` : ""}  // no  comment`;'
    assert tight(text) == (
        'let a=`${b?`, ${b} of ${c?"a  b":`x  ${d}  y`}`:""}  // no  comment`;\n'
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("return  typeof  a;", "return typeof a;\n"),
        ("a = b + +c - -d + ++e;", "a=b+ +c- -d+ ++e;\n"),
        ("if (a in b) of = /a  \\/[/ ]+/gu in c;", "if(a in b)of=/a  \\/[/ ]+/gu in c;\n"),
        ("a = (b + c) / d / 2;", "a=(b+c) / d / 2;\n"),
        ("a = b ? .5 : c ?. d;", "a=b?.5:c?.d;\n"),
        ("a = 1 .toFixed();", "a=1 .toFixed();\n"),
        ("a = 20_000n ** 0x7f; // why", "a=20_000n**0x7f;\n"),
        ("const { b: { c } } = `${ { d: `}` } }`;", "let{b:{c}}=`${{d:`}`}}`;\n"),
        ("a = 'it\\'s  //'; /* a\nb */ b = \"/*\";", "a='it\\'s  //';b=\"/*\";\n"),
        ("async (a, b) => {\n  await a;\n};", "async(a,b)=>{await a};\n"),
        ("if (a) {\n  b();\n}\nc();", "if(a){b()}\nc();\n"),
        ("return /  a/.test(b);", "return/  a/.test(b);\n"),
        ("a.map((b) => b, async (c) => c,);", "a.map(b=>b,async c=>c);\n"),
        ("return (a) => (b) => a(b);", "return a=>b=>a(b);\n"),
        (
            "a = ({ b }) => 1, (c = 2) => 3, () => 4, (...d) => 5;",
            "a=({b})=>1,(c=2)=>3,()=>4,(...d)=>5;\n",
        ),
        ("a = [b, c,];", "a=[b,c];\n"),
        ("a = [b, , ], [, ], { c, };", "a=[b,,],[,],{c};\n"),
        ("if (a) { b(); } else { c[0]; }", "if(a){b()}else{c[0]}\n"),
        ("for (;;) { ; }", "for(;;){}\n"),
        ("for (const [a] of b) { let c; }", "for(let[a]of b){let c}\n"),
        ('a = "const b"; const\n  b = `const ${c}`;', 'a="const b";let\nb=`const ${c}`;\n'),
        ("a = `;}${`,)${b}`}(c)=>`;", "a=`;}${`,)${b}`}(c)=>`;\n"),
        ('a = ";}", /;}(d) =>/;', 'a=";}",/;}(d) =>/;\n'),
    ],
)
def test_what_is_between_goes_where_it_says_nothing(text: str, expected: str) -> None:
    assert tight(text) == expected
    assert said(expected) == without_spare(said(text))


@pytest.mark.parametrize(
    "text",
    ["return\na", "a\n++b", "a\nb", "a = b\n(c)", "let a\n[b] = c", "do {} while (a)\nb", "}\nb"],
)
def test_a_line_break_that_may_end_a_statement_stays(text: str) -> None:
    opened = "{" + text if text.startswith("}") else text
    assert "\n" in tight(opened).strip()


@pytest.mark.parametrize(
    "text",
    [
        "a = {}\n/b/.test(c)",
        "if (a) /b/.test(c)",
        "a)}",
        "{ a",
        "`a${b",
        "'a\nb'",
        "while (a--> b);",
        "{ while (a); }",
        "{ for (;;); }",
        "{ if (a) b(); else; }",
        "{ if ((a) && (b)); }",
        "a.const = b",
    ],
)
def test_what_could_be_read_in_two_ways_is_refused(text: str) -> None:
    with pytest.raises(NotPlain):
        tight(text)


def test_a_stroke_is_told_from_a_division() -> None:
    assert kinds("a = b / c; d = / c;/;") == (
        "word:a sign:= word:b sign:/ word:c sign:; word:d sign:= expression:/ c;/ sign:;"
    )
