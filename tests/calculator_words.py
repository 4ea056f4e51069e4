"""What the calculators say, gathered for the catalogue `calculators`: the words of their forms and
examples from the calculators themselves, all else from the texts of their modules."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path

from rigging.calculators import load_calculators
from rigging.calculators.contract import BACKINGS, ExampleClass, Input
from rigging.calculators.rope.tables import ropes
from tests.said_in_calculators import EXTRA, NO_MODULES, NO_WORDS, SIGNS

FOLDER = Path(__file__).resolve().parents[1] / "rigging" / "calculators"
REGISTRY = "rigging/calculators/registry.py"
LISTED = "tests/said_in_calculators.py"
WORD = re.compile(r"[A-Za-z]{3,}")
PLACE = re.compile(r"\{\d\}")
CODE = re.compile(r"[a-z0-9_-]+")
TextsOf = Callable[[ast.AST], Iterator[str]]
# Ropes by their construction: what follows it is listed in pieces.
STRANDED = re.compile(r"\d+x\d+M? ?(?:,|zinc|stainless|metric|fibre|steel|strand|class)")
# Of a shorter pattern nobody knows whether it says a text.
LONG_ENOUGH = 12
# Names of documents stay; what a form asks is read from the calculator.
PASSED = ("Source", "Input", "TypeError")


def calculator_texts(texts_of: TextsOf) -> Iterator[tuple[str, str]]:
    """Each text with where it stands. `texts_of`: the texts of a piece of Python, {1} for places."""
    found: dict[str, str] = dict.fromkeys(EXTRA, LISTED)
    for file in sorted(FOLDER.rglob("*.py")):
        name = file.relative_to(FOLDER).as_posix()
        if name not in NO_MODULES:
            for text in _sentences(ast.parse(file.read_text(encoding="utf-8")), texts_of):
                if _may_be_words(text):
                    found.setdefault(text.strip(), f"rigging/calculators/{name}")
    patterns = [_pattern(text) for text in found if _is_long(text)]
    for text in _asked():
        covered = STRANDED.match(text) or any(pattern.fullmatch(text) for pattern in patterns)
        if WORD.search(_without_signs(text)) and text not in NO_WORDS and not covered:
            found.setdefault(text, REGISTRY)
    yield from found.items()


def _sentences(tree: ast.AST, texts_of: TextsOf) -> Iterator[str]:
    """
    >>> from tests.page_words import python_texts
    >>> list(_sentences(ast.parse("Check('a', Source('OSHA'), f'{x} is short.')"), python_texts))
    ['a', '{1} is short.']
    """
    return texts_of(_Pruned().visit(tree))


class _Pruned(ast.NodeTransformer):
    """A module without the names of documents, its forms and what its examples type."""

    def visit_Call(self, node: ast.Call) -> ast.AST:
        name = ast.unparse(node.func)
        if name in PASSED:
            return ast.Constant(0)
        if name == "Calculator":
            kept: list[ast.expr] = [word.value for word in node.keywords if word.arg == "examples"]
            return self.generic_visit(ast.Tuple(kept))
        if name == "Example":
            notes = [word.value for word in node.keywords if word.arg == "note"]
            return self.generic_visit(ast.Tuple([node.args[0], *notes]))
        return self.generic_visit(node)


def _asked() -> Iterator[str]:
    for one in load_calculators().values():
        yield from (one.title, one.family, one.purpose)
        for asked in one.inputs:
            yield from _of_input(asked)
        for example in one.examples:
            yield from (example.name, example.note)
    yield from (*BACKINGS, *ExampleClass, *ropes())


def _of_input(asked: Input) -> Iterator[str]:
    yield from (asked.label, asked.hint, *(words for _, words in asked.choices))
    if asked.bounds:
        yield asked.bounds.sentence


def _may_be_words(text: str) -> bool:
    plain = PLACE.sub("", text).strip()
    return bool(
        WORD.search(_without_signs(plain))
        and not CODE.fullmatch(plain)
        and text.strip() not in NO_WORDS
    )


def _without_signs(text: str) -> str:
    return WORD.sub(lambda word: "" if word[0].lower() in SIGNS else word[0], text)


def _is_long(text: str) -> bool:
    return bool(PLACE.search(text)) and len(PLACE.sub("", text).strip()) >= LONG_ENOUGH


def _pattern(text: str) -> re.Pattern[str]:
    return re.compile(".+".join(map(re.escape, PLACE.split(text))))
