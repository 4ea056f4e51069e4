"""Calculators: each with its formula, worked through by its own first example, and its sources."""

from __future__ import annotations

import shlex
from collections.abc import Iterator

from docs.from_data.markdown import CAUTION, bullets, code, joined, plain, source_words, table
from rigging.calculators.answering import answer
from rigging.calculators.contract import Calculator, Example
from rigging.calculators.reading import read_values
from rigging.calculators.registry import load_calculators
from rigging.calculators.showing import figure_text, other_habit


def pages() -> dict[str, str]:
    return {"calculators": joined(_page())}


def _page() -> Iterator[str]:
    yield "# Formulas and their sources"
    yield (
        "Every calculator, what it asks, and its formula worked through with the figures of its first "
        "example. How to use them stands under [Calculators](../calculators.md)."
    )
    yield CAUTION
    family = ""
    for each in load_calculators().values():
        if each.family != family:
            family = each.family
            yield f"## {plain(family)}"
        yield joined(_calculator(each))


def _calculator(calculator: Calculator) -> Iterator[str]:
    yield f"### {plain(calculator.title)}"
    yield f"{plain(calculator.purpose)} Short name: {code(calculator.slug)}."
    rows = [
        (plain(one.label), code(one.slug), "" if one.optional or one.default else "needed",
         plain(one.hint))
        for one in calculator.inputs
    ]  # fmt: skip
    yield table(("Asked", "Short name", "", "Hint"), rows)
    yield from _worked(calculator, calculator.examples[0])
    sources = [(source_words(source), source.backing) for source in calculator.sources]
    yield table(("Source", "Backed by"), sources)


def _worked(calculator: Calculator, example: Example) -> Iterator[str]:
    found = answer(calculator, read_values(calculator, example.typed))
    typed = [f"{name}={shlex.quote(_one_line(text))}" for name, text in example.typed.items()]
    yield f"```console\n$ python manage.py calc {calculator.slug} {' '.join(typed)}\n```"
    figures = [
        f"{plain(figure.label)}: {plain(figure_text(figure))}"
        + (f" ({plain(other_habit(figure))})" if other_habit(figure) else "")
        for figure in found.figures
    ]
    if lines := [plain(line) for line in found.working] + figures:
        yield bullets(lines)
    if found.limits:
        yield "Holds only: " + " ".join(map(plain, found.limits))


def _one_line(text: str) -> str:
    """A list that was typed one a line, parted by semicolons."""
    return "; ".join(line.strip() for line in text.splitlines() if line.strip())
