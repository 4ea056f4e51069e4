"""The documentation builds without a warning, and what it names is there."""

from __future__ import annotations

import gc
import io
import re
import shlex
from pathlib import Path
from typing import Any

import pytest
from django.core.management import get_commands, load_command_class
from django.core.management.base import CommandError
from django.urls import Resolver404, resolve
from sphinx.application import Sphinx

from config.environment import LEFT_OUT, OPTIONAL, REQUIRED
from docs.from_data import reference_pages
from docs.from_data.commands import names
from inspections.regime_checks import Check
from inspections.regime_files import KEYS as REGIME_KEYS
from inspections.regime_files import regimes
from rigging.calculators.registry import load_calculators
from rigging.engine import CONDITIONS, RopeFacts, RopeObservation, confirmable, load_rulesets
from rigging.engine.requests import KNOWN
from rigging.engine.ruleset_files import KNOWN as RULE_SET_KEYS
from rigging.engine.rulesets import Source
from venue.kind_files import KIND_KEYS, Field, kinds, part_kinds

# How myst-parser asks Sphinx for its builder, thousands of times.
pytestmark = pytest.mark.filterwarnings("ignore::sphinx.deprecation.RemovedInSphinx11Warning")
BASE = Path(__file__).resolve().parents[2]
DOCS = BASE / "docs"
PAGES = [*sorted(DOCS.glob("*.md")), BASE / "README.md", BASE / "DEVELOPERS.md"]
QUOTED = re.compile(r"`([^`\n]+)`")
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
MADE_HERE = (".venv", "var/", "docs/reference/", "static/vendor/qr/")
# A path of this project, in code quotes: folders, then a file or a folder.
PATH = re.compile(
    r"(?:config|venue|rigging|inspections|templates|static|tests|bench|docs)/[\w./-]+"
)


def text_of(page: Path) -> str:
    return page.read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[Sphinx, str]:
    """Read, resolved and not written: every warning is there, and nothing is left behind."""
    folder, warnings = tmp_path_factory.mktemp("documentation"), io.StringIO()
    app = Sphinx(
        str(DOCS), str(DOCS), str(folder / "out"), str(folder / "made"), "dummy",
        status=None, warning=warnings, freshenv=True,
    )  # fmt: skip
    app.build()
    gc.enable()  # which conf.py switched off
    return app, warnings.getvalue()


def test_it_builds_without_a_warning(built: tuple[Sphinx, str]) -> None:
    app, warnings = built
    assert warnings == ""
    assert len(app.env.found_docs) > 45


def test_every_page_of_the_folder_is_reached_from_the_first(built: tuple[Sphinx, str]) -> None:
    app, _ = built
    named = {name for names in app.env.toctree_includes.values() for name in names}
    assert {page.stem for page in DOCS.glob("*.md")} - {"index"} <= named
    assert {f"reference/{name}" for name in reference_pages()} <= named


def test_the_reference_leaves_nothing_out() -> None:
    pages = reference_pages()
    all_regimes = "".join(text for name, text in pages.items() if name.startswith("regimes-of-"))
    for slug, regime in regimes().items():
        assert f"(regime-{slug})=" in all_regimes
        assert all_regimes.count(f"`{slug}`") == 1
        assert len(regime.checks) > 0
    assert all(f"(kind-{slug})=" in pages["kinds"] for slug in kinds())
    assert all(f"(part-{slug})=" in pages["kinds-of-parts"] for slug in part_kinds())
    assert all(f"(rules-{slug})=" in pages["rule-sets"] for slug in load_rulesets())
    assert all(f"`{slug}`" in pages["calculators"] for slug in load_calculators())
    assert len(names()) >= 15
    assert all(f"`{name}`" in pages["settings"] for name in (*REQUIRED, *OPTIONAL))
    assert LEFT_OUT.keys() == OPTIONAL.keys()


def test_a_figure_that_no_document_confirms_is_shown_as_switched_off() -> None:
    off = sum(len(confirmable(rules)) for rules in load_rulesets().values())
    assert off > 0
    assert reference_pages()["rule-sets"].count("**Switched off:**") == off


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_a_page_names_is_there(page: Path) -> None:
    assert faults_of(text_of(page), page.parent) == []


def faults_of(text: str, folder: Path) -> list[str]:
    """What a page leads to or names and what is not there."""
    faults = [
        target for target in LINK.findall(text)
        if "://" not in target and not target.startswith("reference/")
        and not (folder / target).exists()
    ]  # fmt: skip
    for quoted in QUOTED.findall(text):
        path = PATH.fullmatch(quoted.split(":")[0].rstrip("/"))
        if path and not path[0].startswith(MADE_HERE) and not there(path[0]):
            faults.append(quoted)
    return faults + [name for name in commands_in(text) if not known(name)]


def there(path: str) -> bool:
    return any((folder / path).exists() for folder in (BASE, BASE / "templates"))


def commands_in(text: str) -> set[str]:
    """`manage.py NAME` and `make NAME`, as lines to copy and in the middle of a sentence."""
    managed = re.findall(r"manage\.py ([a-z_]{3,})", text)
    made = re.findall(r"(?:^    |`)(?:LOFTBOOK_\w+=\w+ )?make ([a-z][a-z-]+)", text, re.MULTILINE)
    return {f"manage.py {name}" for name in managed} | {f"make {name}" for name in made}


def known(command: str) -> bool:
    what, name = command.split(" ")
    if what == "make":
        return re.search(rf"^{name}:", text_of(BASE / "Makefile"), re.MULTILINE) is not None
    return name in get_commands()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_an_address_of_loftbook_is_one(page: Path) -> None:
    for address in re.findall(r"`(/(?:v|verify|healthz|account)[\w/.-]*)`", text_of(page)):
        resolve(address.replace("FINGERPRINT-OF-THE-ROOT", "0" * 64))


def test_what_is_not_there_is_found() -> None:
    bad = "`inspections/nowhere.toml` [x](nowhere.md) `make nothing-of-this`\n    manage.py no_such"
    assert sorted(faults_of(bad, DOCS)) == [
        "inspections/nowhere.toml", "make nothing-of-this", "manage.py no_such", "nowhere.md",
    ]  # fmt: skip
    with pytest.raises(Resolver404):
        resolve("/v/larkspur/nowhere/")


def test_the_command_lines_to_copy_are_taken_by_their_commands() -> None:
    seen = 0
    for page in PAGES:
        for name, arguments in lines_to_copy(text_of(page)):
            command: Any = load_command_class(names()[name], name)
            command.create_parser("manage.py", name).parse_args(shlex.split(arguments))
            seen += 1
    assert seen > 15
    ((name, wrong),) = lines_to_copy("    python manage.py rules --lists")
    with pytest.raises(CommandError):
        load_command_class("rigging", name).create_parser("x", name).parse_args(wrong.split())


def lines_to_copy(text: str) -> list[tuple[str, str]]:
    """Command lines that stand by themselves, those that go on over a line's end put together.
    What stands in brackets may be left out, and a name in capitals is for the reader to fill in."""
    whole = text.replace("\\\n", " ")
    found = re.findall(r"^(?: {4}|\$ )(?:python )?manage\.py ([a-z_]+)(.*)$", whole, re.MULTILINE)
    plain = [(name, re.sub(r"\[.*?\]|#.*| > .*", "", rest)) for name, rest in found]
    return [(name, rest.replace("SIZE", "1").replace("NUMBER", "1")) for name, rest in plain]


def test_every_member_of_a_question_to_judge_is_explained() -> None:
    told = text_of(DOCS / "judge.md")
    members = [*KNOWN, *RopeFacts.__dataclass_fields__, *RopeObservation.__dataclass_fields__]
    assert len(members) > 25
    assert [name for name in (*members, *CONDITIONS) if f"`{name}`" not in told] == []


@pytest.mark.parametrize(
    ("page", "keys"),
    [
        ("adding-a-kind.md", {*KIND_KEYS, *Field.__dataclass_fields__}),
        ("adding-a-regime.md", {*REGIME_KEYS, *Check.__dataclass_fields__}),
        ("adding-a-rule-set.md", {*RULE_SET_KEYS, *Source.__dataclass_fields__}),
    ],
)
def test_a_page_on_adding_a_file_explains_every_key_of_it(page: str, keys: set[str]) -> None:
    told = set(re.findall(r"[a-z_]+", " ".join(QUOTED.findall(text_of(DOCS / page)))))
    assert len(keys) > 10
    assert keys - told == set()


WHERE_LABELS_STAND = ("templates/**/*.html", "static/js/**/*.js", "inspections/**/*.py", "inspections/**/*.toml",
                      "venue/**/*.py", "rigging/**/*.py")  # fmt: skip
HOW_TO = (
    "tutorial", "manager", "stagehand", "examiner", "insurer", "languages", "accessibility",
)  # fmt: skip


def labels_in(text: str) -> set[str]:
    """What is set in italics is a label of a page; “*House, Tag labels*” is one page and then another."""
    found = re.findall(r"(?<!\*)\*([^*]+)\*(?!\*)", text)
    plain = {" ".join(label.split()) for label in found if not label.startswith("A decision aid")}
    return {re.sub(r"(?<=, as ).+", "{{ person_name }}", label) for label in plain}


def test_a_label_that_a_page_names_is_on_a_page() -> None:
    paths = [path for glob in WHERE_LABELS_STAND for path in BASE.glob(glob)]
    all_words = "\n".join(text_of(path) for path in paths).replace("’", "'")
    named = {label for name in HOW_TO for label in labels_in(text_of(DOCS / f"{name}.md"))}
    assert len(named) > 40
    assert len(paths) > 500

    def stands(label: str) -> bool:
        return label in all_words or all(part in all_words for part in label.split(", "))

    assert {label for label in named if not stands(label)} == set()
    assert not stands("House, No such page")
