"""All scripts of a page as one, and all styles as one. Pure but for reading our own files.

The sources stay small modules, each with what it needs named at its top. A phone that opens a kept
page without signal would fetch some thirty of them one behind the other; so they are joined when
first asked for: what is imported stands there once, as it is, before whoever imports it, and only
what is started is a function of its own. So no two imported modules of one script may make one name
at their top, exported or not, and none calls what it imports otherwise. Our modules keep to a few
plain forms of import and export; anything else is refused here and not guessed at.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from venue.script_tokens import NotPlain
from venue.tight_script import tight

IMPORT = re.compile(r'^import (?:\{ (?P<names>[^}]*) \} from )?"(?P<where>\.[^"]+)";$')
LAZY = re.compile(r'\bimport\("(?P<where>\.[^"]+)"\)')
EXPORT = re.compile(r"^export (?P<what>(?:async )?function\*?|const|class) (?P<name>\w+)")
# Made where it stands in no bracket, which in our modules is where a line begins.
TOP = re.compile(
    r"^(?:export )?(?:(?:async )?function\*? ?|const |let |class )"
    r"(?P<names>\w+|\{[^}]*\}|\[[^\]]*\])",
    re.MULTILINE,
)
NAME = re.compile(r"\w+(?!\w*:)")
COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
ADDRESS = re.compile(r'url\("\.\./(?P<name>[^"]+)"\)')


def one_script(root: Path, entries: Iterable[str], address_of: Callable[[str], str]) -> str:
    """The entries run in their order, each by itself; what they import runs once, before. What is
    asked for only when it is needed stays a file of its own, at its own address."""
    script = _Script(root, address_of)
    started = []
    for entry in entries:
        body, exports, _ = script.module(entry, (entry,))
        if exports:
            raise NotPlain(f"{entry} is started and exports {', '.join(exports)}")
        started.append(f"(async () => {{\n{body}}})();\n")
    return tight("".join([*script.joined.values(), *started]))


@dataclass
class _Script:
    root: Path
    address_of: Callable[[str], str]
    joined: dict[str, str] = field(default_factory=dict)
    exports: dict[str, list[str]] = field(default_factory=dict)
    made_by: dict[str, str] = field(default_factory=dict)

    def module(self, name: str, above: tuple[str, ...]) -> tuple[str, list[str], list[str]]:
        """Its text without what makes it a module, the names it exports, and all that it makes."""
        lines, exports = [], []
        source = (self.root / name).read_text(encoding="utf-8")
        for line in source.splitlines():
            text = line.strip()
            if not text or text.startswith("//"):
                continue
            if line.count("`") % 2:
                raise NotPlain(f"{name}: a text in back quotes goes over several lines: {text}")
            if found := IMPORT.match(line):
                text = self._import(found, name, above)
            elif found := EXPORT.match(line):
                exports.append(found["name"])
                text = text.removeprefix("export ")
            elif text.startswith(("import ", "export ")):
                raise NotPlain(f"{name}: {text}")
            lines.append(LAZY.sub(lambda lazy: self._lazily(lazy, name), text))
        return "".join(f"{line}\n" for line in lines), exports, names_made(source)

    def _import(self, found: re.Match[str], name: str, above: tuple[str, ...]) -> str:
        """Nothing: what it names stands outside already."""
        given = self._join(beside(name, found["where"]), above)
        names = {each.strip() for each in (found["names"] or "").split(",")}
        if missed := names - {*given, ""}:
            raise NotPlain(f"{name} takes {', '.join(sorted(missed))} from {found['where']}")
        return ""

    def _lazily(self, found: re.Match[str], name: str) -> str:
        return f'import("{self.address_of(beside(name, found["where"]))}")'

    def _join(self, name: str, above: tuple[str, ...]) -> list[str]:
        if name in above:
            raise NotPlain(" needs ".join([*above, name]))
        if name not in self.joined:
            body, exports, made = self.module(name, (*above, name))
            for each in made:
                if each in self.made_by:
                    raise NotPlain(f"{name} makes {each}, and {self.made_by[each]} does")
                self.made_by[each] = name
            self.joined[name], self.exports[name] = body, exports
        return self.exports[name]


def names_made(source: str) -> list[str]:
    """What a module makes at its top.

    >>> names_made("const { a, b: c } = d;\\nexport async function* e() {\\n  const f = 1;\\n}")
    ['a', 'c', 'e']
    """
    found = (each["names"] for each in TOP.finditer(source))
    return [name for names in found for name in NAME.findall(names)]


def beside(name: str, where: str) -> str:
    parts: list[str] = []
    for part in (PurePosixPath(name).parent / where).parts:
        if part == "..":
            parts.pop()
        elif part != ".":
            parts.append(part)
    return "/".join(parts)


def one_style(root: Path, sheets: Iterable[str], address_of: Callable[[str], str]) -> str:
    """The sheets in their order, without comments; what they name gets its own address."""
    texts = (COMMENT.sub("", (root / name).read_text(encoding="utf-8")) for name in sheets)
    lines = (line.strip() for text in texts for line in text.splitlines())
    whole = "".join(f"{line}\n" for line in lines if line)
    return ADDRESS.sub(lambda found: f'url("{address_of(found["name"])}")', whole)
