"""The script that judges on a phone gives the server's answers, to the letter, in a real browser.

The server's own judging is checked against documents in the other tests of this folder.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from rigging.engine import (
    judge_limit,
)
from rigging.engine.phone_lists import MODULE, lists_module, ruleset_for_phone
from tests.vectors.ropes import every_ruleset
from tests.vectors.write import hash_of, judged, read_vectors
from venue.quantities import (
    DIMENSIONS,
    UNITS,
    Quantity,
    UnreadableQuantity,
    read_quantity,
    units_of,
)
from venue.tight_script import tight

SCRIPTS = Path(__file__).resolve().parents[2] / "static" / "js"
NOWHERE = "http://phone.invalid"
# As text: the driver copies values one by one, which takes longer than judging.
JUDGE = """async (text) => {
    const { judgeRope } = await import("/judge/judge.js");
    return JSON.parse(text).map(({ rope, observation, ruleset }) =>
        JSON.stringify(judgeRope(rope, observation, globalThis.rulesets[ruleset])));
}"""


@pytest.fixture(scope="module")
def phone(chromium: Any) -> Iterator[Any]:
    """A tab that has the scripts, as tight as a phone gets them, and nothing else; no server stands
    behind it."""
    context = chromium.new_context()

    def answer(route: Any) -> None:
        asked = route.request.url.removeprefix(f"{NOWHERE}/")
        if asked:
            text = tight((SCRIPTS / asked).read_text(encoding="utf-8"))
            route.fulfill(body=text, content_type="text/javascript")
        else:
            route.fulfill(body="<!doctype html><title>Phone</title>", content_type="text/html")

    context.route(f"{NOWHERE}/**", answer)
    page = context.new_page()
    page.goto(f"{NOWHERE}/")
    yield page
    context.close()


def test_the_phone_has_the_servers_lists_of_units_words_and_conditions() -> None:
    assert MODULE.read_text(encoding="utf-8") == lists_module(), (
        "Run `python -m rigging.engine.phone_lists`."
    )


@pytest.mark.long
@pytest.mark.browser
def test_a_rope_is_judged_on_the_phone_as_on_the_server(phone: Any) -> None:
    """Every vector of the shared file; tests/rigging/test_vectors.py does the same on the server."""
    rulesets, vectors = every_ruleset(), list(read_vectors())
    for_phone = {slug: ruleset_for_phone(each) for slug, each in rulesets.items()}
    phone.evaluate("(text) => { globalThis.rulesets = JSON.parse(text); }", json.dumps(for_phone))
    strange = []
    for first in range(0, len(vectors), 1000):
        some = vectors[first : first + 1000]
        told = phone.evaluate(JUDGE, json.dumps([each | {"answer": None} for each in some]))
        for vector, answer in zip(some, told, strict=True):
            if hash_of(json.loads(answer)) != vector["answer"]["sha256"]:
                expected = judged(vector, rulesets)
                strange.append((_first_difference(json.loads(answer), expected), vector))
    assert not strange, f"{len(strange)} of {len(vectors)} differ: {strange[0]}"
    assert len(vectors) >= 10_000


@pytest.mark.browser
def test_what_is_typed_is_read_on_the_phone_as_on_the_server(phone: Any) -> None:
    cases = [_typed(chance) for chance in [random.Random(7)] for _ in range(5000)]
    told = phone.evaluate(
        """async (cases) => {
            const { readQuantity } = await import("/judge/quantities.js");
            return cases.map((given) => {
                try {
                    const read = readQuantity(...given);
                    return [read.typed, String(read.value), read.unit, String(read.si)];
                } catch (fault) { return [fault.message]; }
            });
        }""",
        cases,
    )
    expected = [_read(*case) for case in cases]
    assert [list(each) for each in expected] == told
    assert sum(len(each) == 4 for each in expected) > 1000
    assert len({each for each in expected if len(each) == 1}) > 100


@pytest.mark.browser
def test_a_reading_is_held_against_its_limit_on_the_phone_as_on_the_server(phone: Any) -> None:
    chance = random.Random(8)
    cases = [_limited(chance) for _ in range(3000)]
    told = phone.evaluate(
        """async (cases) => {
            const { readQuantity } = await import("/judge/quantities.js");
            const { judgeLimit } = await import("/judge/limits.js");
            return cases.map((given) => judgeLimit(Object.fromEntries(
                Object.entries(given).map(([name, each]) => [name, each && readQuantity(...each)]))));
        }""",
        cases,
    )
    for case, answer in zip(cases, told, strict=True):
        read = {name: read_quantity(*each) if each else None for name, each in case.items()}
        reading = read.pop("reading")
        assert isinstance(reading, Quantity)
        judged = judge_limit(reading, clause="", source="", **read).to_dict()
        assert answer == {name: judged[name] for name in answer}, case
    assert {"fit", "watch", "cannot be decided", "out of service"} == {
        answer["state"] for answer in told
    }


def _first_difference(found: Any, expected: Any, where: str = "") -> str:
    """Where two answers part, in words."""
    if isinstance(found, dict) and isinstance(expected, dict) and found.keys() == expected.keys():
        pairs = [(f"{where}.{name}", found[name], expected[name]) for name in expected]
    elif isinstance(found, list) and isinstance(expected, list) and len(found) == len(expected):
        pairs = [
            (f"{where}[{n}]", a, b) for n, (a, b) in enumerate(zip(found, expected, strict=True))
        ]
    else:
        return f"{where}: {found!r} on the phone, {expected!r} on the server"
    return next(_first_difference(a, b, place) for place, a, b in pairs if a != b)


def _number(chance: random.Random) -> str:
    a, b, c = (chance.randrange(30) for _ in range(3))
    return chance.choice(
        (f"{a}", f"{a}.{b}", f"{a},{b}", f"{b}/{c}", f"{a} {b}/{c}", f"{a}½", f"{a},{b:03}")
    )


def _typed(chance: random.Random) -> tuple[str, str, str | None, bool]:
    dimension = chance.choice(DIMENSIONS)
    units = units_of(dimension) if chance.random() < 0.85 else tuple(UNITS.values())
    unit = chance.choice(units)
    spelling = chance.choice((unit.code, unit.label, *unit.spellings, "", "ton", unit.code.upper()))
    text = (
        f"{chance.choice(('', '', '-', ' '))}{_number(chance)}{chance.choice(('', ' '))}{spelling}"
    )
    if chance.random() < 0.1:
        text = "".join(chance.choice("0123456789.,/ -½¼\u00a0′″'\"eEinftm%ſK²µΩ") for _ in range(9))
    usual = chance.choice((None, chance.choice(units_of(dimension)).code))
    return text, dimension, usual, chance.random() < 0.3


def _read(text: str, dimension: str, unit: str | None, below_zero: bool) -> tuple[str, ...]:
    try:
        read = read_quantity(text, dimension, unit, below_zero)
    except UnreadableQuantity as fault:
        return (str(fault),)
    return (read.typed, str(read.value), read.unit, str(read.si))


def _limited(chance: random.Random) -> dict[str, list[str] | None]:
    dimension = chance.choice(DIMENSIONS)
    number = {"count": lambda: str(chance.randrange(30))}.get(
        dimension, lambda: f"{chance.randrange(9)}.{chance.randrange(20)}"
    )

    def one(often: float) -> list[str] | None:
        unit = chance.choice(units_of(dimension)).code
        return [number(), dimension, unit] if chance.random() < often else None

    return {
        "reading": one(1.1), "minimum": one(0.6), "maximum": one(0.6), "uncertainty": one(0.3),
    }  # fmt: skip
