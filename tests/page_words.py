"""The catalogues of what pages, reports and scripts say: `python -m tests.write_words` brings them
up to date, as `tests.data_words` does those of the data files.

`django` holds the marked texts of templates and forms; `said` holds finished sentences, which are
made in English by modules that know no language and by the scripts of the phone.
"""

from __future__ import annotations

import ast
import builtins
import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, datetime
from io import BytesIO
from itertools import chain
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from django.utils.translation.template import templatize

from tests import said_on_pages as pages
from tests.calculator_words import calculator_texts
from tests.data_words import as_po
from tests.said_places import EXTRA, MODULES, NO_WORDS, SCRIPT_WORDS
from venue.front_files import joined_scripts
from venue.kind_fields import in_words
from venue.script_words import texts_of

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / "config" / "locale"
DATA = ROOT / "inspections" / "locale"
LANGUAGES = ("de", "es")
DOMAINS = ("django", "said", "calculators")
BEGUN = datetime(2026, 11, 26, tzinfo=UTC)
MOST_FILES = 3
DRAWN = ("<svg", "<path", "<text", "<circle", "<!doctype")
SCRIPT = "static/js"
HEADS = {
    "django": "# The marked texts of templates and forms. `python -m tests.write_words` says where each\n"
    "# stands, adds what is new and compiles. Trade words: docs/words-in-three-languages.md",
    "said": "# Finished sentences: verdicts, faults, words of states and of the phone's scripts, {1} for\n"
    "# each place. `python -m tests.write_words` adds what is new and compiles.",
    "calculators": "# What the calculators ask and answer, beside `said`; known to their pages only.\n"
    "# `python -m tests.write_words` adds what is new and compiles.",
}
QUOTED = r"""u?(?:'(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")"""
MARKED = re.compile(
    rf"\b(?P<how>n?p?gettext|_)\(\s*(?P<texts>{QUOTED}(?:\s*,\s*{QUOTED})*)", re.DOTALL
)
DEED = re.compile(r"[a-z]+(_[a-z]+)+")
LETTERS = re.compile(r"[A-Za-zÀ-ÿ]{2}")
Key = str | tuple[str, str]
WITHIN = "\x04"  # between a context and its text, as compiled catalogues have it


def po_file(language: str, domain: str) -> Path:
    return FOLDER / language / "LC_MESSAGES" / f"{domain}.po"


def read(language: str, domain: str) -> Catalog:
    with po_file(language, domain).open("rb") as file:
        return read_po(file, locale=language)


def texts_by_key(domain: str) -> dict[Key, list[str]]:
    """Every text with the files it stands in."""
    found: dict[Key, list[str]] = {}
    gather = {"django": _marked, "said": _sentences, "calculators": _of_calculators}[domain]
    for key, file in gather():
        found.setdefault(key, []).append(file)
    return found


def _marked() -> Iterator[tuple[Key, str]]:
    for file in sorted((ROOT / "templates").rglob("*.*")):
        name = file.relative_to(ROOT).as_posix()
        for key in marked_in(file.read_text(encoding="utf-8")):
            yield key, name
    for folder in ("venue", "rigging", "inspections"):
        for file in sorted((ROOT / folder).rglob("*.py")):
            text = file.read_text(encoding="utf-8")
            if "gettext" in text:
                for key in _called(ast.parse(text)):
                    yield key, file.relative_to(ROOT).as_posix()


def marked_in(template: str) -> Iterator[Key]:
    """
    >>> list(marked_in('{% translate "Back" %} {% include "a.html" with title=_("None") %}'))
    ['Back', 'None']
    >>> list(marked_in('{% translate "Plan" context "to do" %}'))
    ['to do\\x04Plan']
    """
    for found in MARKED.finditer(templatize(template)):
        yield from _key(found["how"], ast.literal_eval(f"[{found['texts']}]"))


def _key(how: str, texts: Sequence[str]) -> Iterator[Key]:
    """What a call of gettext marks; nothing of one that is given no texts."""
    texts = [WITHIN.join(texts[:2]), *texts[2:]] if "pgettext" in how else texts
    several = how.startswith("n")
    if len(texts) > several:
        yield (texts[0], texts[1]) if several else texts[0]


def _called(tree: ast.AST) -> Iterator[Key]:
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.args):
            continue
        texts = [str(each.value) for each in node.args if isinstance(each, ast.Constant)]
        how = node.func.id.removesuffix("_lazy")
        if how in ("_", "gettext", "ngettext", "pgettext", "npgettext"):
            yield from _key(how, texts)


def _sentences() -> Iterator[tuple[str, str]]:
    yield from _of_scripts()
    for name in MODULES:
        for text in python_texts(_parsed(ROOT / name)):
            if may_be_words(text):
                yield text, name
    for text in EXTRA:
        yield text, "tests/said_places.py"
    for text, name in _on_pages():
        if may_be_words(text) and text not in pages.NO_WORDS:
            yield text, name
    for text in pages.EXTRA:
        yield text, "tests/said_on_pages.py"
    yield from deeds_of_the_log()


def _of_calculators() -> Iterator[tuple[str, str]]:
    """What `said` has not already: there is one translation of a text."""
    said = {text for text, _ in _sentences()}
    for text, name in calculator_texts(python_texts):
        if text not in said:
            yield text, name


def _of_scripts() -> Iterator[tuple[str, str]]:
    scripts = joined_scripts(ROOT / "static", {}).values()
    worker = (ROOT / "static" / "js" / "phone" / "worker.js").read_text(encoding="utf-8")
    for text in chain.from_iterable(map(texts_of, scripts)):
        if may_be_words(text.words) or text.words in SCRIPT_WORDS:
            yield text.words, SCRIPT
    for text in texts_of(worker):
        if may_be_words(text.words) and not text.words.startswith("<!doctype"):
            yield text.words, SCRIPT


def _parsed(file: Path) -> ast.AST:
    return ast.parse(file.read_text(encoding="utf-8"))


def _on_pages() -> Iterator[tuple[str, str]]:
    for name in pages.MODULES:
        for text in python_texts(_parsed(ROOT / name)):
            yield text.strip(), name  # as a sentence is looked up
    for place in pages.REFUSALS:
        for file in sorted((ROOT / place).rglob("*.py")) or [ROOT / place]:
            for text in refused_in(_parsed(file)):
                yield text, file.relative_to(ROOT).as_posix()


def deeds_of_the_log() -> Iterator[tuple[str, str]]:
    for place in pages.ACTIONS:
        for file in sorted((ROOT / place).rglob("*.py")):
            for text in deeds_in(_parsed(file)):
                yield text, file.relative_to(ROOT).as_posix()


def deeds_in(tree: ast.AST) -> Iterator[str]:
    """What the log says was done, as a page says it.

    >>> list(deeds_in(ast.parse("write(did='end_plan', what='plan_id')")))
    ['end plan']
    """
    for text in python_texts(tree):
        first = text.partition("_")[0]
        if DEED.fullmatch(text) and first in pages.BEGINNINGS and text not in pages.NO_DEEDS:
            yield in_words(text)


def refused_in(tree: ast.AST) -> Iterator[str]:
    r"""What is raised in words of our own; an error of the language is for whoever develops.

    >>> list(refused_in(ast.parse("raise Refused(f'Not {day}.')\nraise ValueError('A bug.')")))
    ['Not {1}.']
    """
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and ast.unparse(node.func) == "super().__init__":
            yield from python_texts(node)
        if not (isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call)):
            continue
        raised = node.exc.func
        name = raised.attr if isinstance(raised, ast.Attribute) else getattr(raised, "id", "")
        if not hasattr(builtins, name):
            yield from python_texts(node.exc)


def may_be_words(text: str) -> bool:
    """What a person may read: several words, or one that begins like a sentence. What is neither,
    and what programs compare, is listed."""
    plain = re.sub(r"\{\d\}", "", text).strip()
    looks_so = " " in plain or re.match(r"[A-Z“]", plain)
    return bool(
        LETTERS.search(plain) and looks_so and text not in NO_WORDS and not text.startswith(DRAWN)
    )


def python_texts(tree: ast.AST) -> Iterator[str]:
    """Its texts and f-strings, {1} for each place; no docstrings.

    >>> list(python_texts(ast.parse("told = f'{count} of {all_of:.0f} wires'")))
    ['{1} of {2} wires']
    """
    passed = set(_docstrings(tree))
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))  # what is said of an attribute
        if isinstance(node, ast.JoinedStr):
            passed.update(id(each) for part in node.values for each in ast.walk(part))
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.JoinedStr):
            yield _with_places(node)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def _docstrings(tree: ast.AST) -> Iterator[int]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef):
            first = node.body[0] if node.body else None
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                yield id(first.value)


def _with_places(node: ast.JoinedStr) -> str:
    words, places = "", 0
    for part in node.values:
        if isinstance(part, ast.Constant):
            words += str(part.value)
        else:
            places += 1
            words += f"{{{places}}}"
    return words


def made_anew(language: str, domain: str, known: dict[Key, str | tuple[str, ...]]) -> Catalog:
    catalog = Catalog(
        language, domain, HEADS[domain], "Loftbook", "1", creation_date=BEGUN, revision_date=BEGUN,
        language_team=language, last_translator="Loftbook", charset="utf-8", fuzzy=False,
        msgid_bugs_address="none",
    )  # fmt: skip
    # One and several is all that these languages ask of figures here; millions have no third form.
    catalog._num_plurals, catalog._plural_expr = 2, "(n != 1)"
    for key, files in texts_by_key(domain).items():
        where = [(file, 0) for file in sorted(dict.fromkeys(files), key=_scripts_first)][
            :MOST_FILES
        ]
        words, context = and_context(key)
        told = known.get(key, "" if isinstance(key, str) else ("", ""))
        message = catalog.add(words, told, where, context=context)
        if message is not None:
            message.flags = {"python-format"} & message.flags if isinstance(key, tuple) else set()
    return catalog


def and_context(key: Key) -> tuple[Key, str | None]:
    context, within, text = (key if isinstance(key, str) else key[0]).rpartition(WITHIN)
    return text if isinstance(key, str) else (text, key[1]), context if within else None


def _scripts_first(file: str) -> bool:
    return file != SCRIPT


def of_scripts(catalog: Catalog) -> Catalog:
    """What scripts say, and nothing that they only compare."""
    kept = Catalog(catalog.locale, charset="utf-8", creation_date=BEGUN, revision_date=BEGUN)
    for each in catalog:
        if each.id and SCRIPT in [name for name, _ in each.locations]:
            kept.add(each.id, each.string)
    return kept


def as_mo(catalog: Catalog) -> bytes:
    written = BytesIO()
    write_mo(written, catalog)
    return written.getvalue()


def translations(catalog: Catalog) -> dict[Key, str | tuple[str, ...]]:
    found: dict[Key, str | tuple[str, ...]] = {}
    for each in catalog:
        if not each.id or each.fuzzy:
            continue
        within = f"{each.context}{WITHIN}" if each.context else ""
        if isinstance(each.id, str):
            found[within + each.id] = str(each.string)
        else:
            found[within + each.id[0], each.id[1]] = tuple(each.string[:2])
    return found


def of_data(language: str) -> dict[Key, str | tuple[str, ...]]:
    """The words of data files that scripts repeat have one translation, the one written there."""
    with (DATA / language / "LC_MESSAGES" / "django.po").open("rb") as file:
        return {
            key: told for key, told in translations(read_po(file, locale=language)).items() if told
        }


def write(language: str, domain: str) -> int:
    """Bring one catalogue up to date; how many of its texts have no translation."""
    file = po_file(language, domain)
    known = translations(read(language, domain)) if file.exists() else {}
    if domain != "django":
        known |= of_data(language)
    catalog = made_anew(language, domain, known)
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(as_po(catalog))
    file.with_suffix(".mo").write_bytes(as_mo(catalog))
    if domain == "said":
        file.with_name("phone.mo").write_bytes(as_mo(of_scripts(catalog)))
    return len(untranslated(catalog))


def untranslated(catalog: Catalog, files: Iterable[str] = ()) -> list[str]:
    """The texts without a translation; with `files`, only of those that stand in one of them."""
    found = []
    for each in catalog:
        told = each.string if isinstance(each.string, tuple | list) else (each.string,)
        here = not files or any(name.startswith(tuple(files)) for name, _ in each.locations)
        if each.id and here and not all(told):
            found.append(str(each.id))
    return found
