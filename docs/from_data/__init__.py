"""The reference pages, made from the data files and the code whenever the documentation is built."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from docs.from_data import calculators, commands, kinds, regimes, roles, rule_sets, settings

INDEX = """# Reference

Made from Loftbook's own files and commands each time the documentation is built; nobody writes it by
hand, so it says what the program says.

```{{toctree}}
:maxdepth: 1

{pages}
```
"""


@cache
def reference_pages() -> dict[str, str]:
    """Every page by its name, in the order in which they are listed."""
    return {
        **kinds.pages(),
        **regimes.pages(),
        **rule_sets.pages(),
        **calculators.pages(),
        **roles.pages(),
        **settings.pages(),
        **commands.pages(),
    }


def write_pages(folder: Path) -> None:
    """Write what changed and remove what is no longer made, so that a second build has less to do."""
    pages = dict(reference_pages())
    pages["index"] = INDEX.format(pages="\n".join(name for name in pages if "-of-" not in name))
    folder.mkdir(exist_ok=True)
    for path in folder.glob("*.md"):
        if path.stem not in pages:
            path.unlink()
    for name, text in pages.items():
        path = folder / f"{name}.md"
        if not path.exists() or path.read_text(encoding="utf-8") != text:
            path.write_text(text, encoding="utf-8")
