"""How Sphinx builds the documentation: `make docs`, into `var/docs/`."""

from __future__ import annotations

import gc
import os
import re
import sys
import tomllib
from pathlib import Path

import django

PROJECT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(PROJECT))
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from docs.from_data import write_pages  # noqa: E402 (the pages ask the models for their words)

project = "Loftbook"
author = "the people of Loftbook"
release = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"][
    "version"
]
extensions = ["myst_parser"]
exclude_patterns = ["examples", "from_data"]
myst_heading_anchors = 3
# Whatever leads nowhere is a warning, and the build treats each warning as a fault.
nitpicky = True
smartquotes = False
pygments_style = "bw"  # black and white: colour means a state and nothing else

html_theme = "basic"
html_title = "Loftbook"
html_static_path = ["../static/css/tokens.css", "docs.css"]
html_css_files = ["tokens.css", "docs.css"]
html_use_index = False
html_copy_source = False
html_show_sourcelink = False
html_show_sphinx = False
html_show_copyright = False
html_sidebars = {"**": ["globaltoc.html", "searchbox.html"]}

# One page names another as `docs/log.md`, which reads well in a terminal; here it is a link.
NAMED_PAGE = re.compile(r"(?<!\[)`docs/([a-z-]+\.md)`")


def link_named_pages(_app: object, name: str, source: list[str]) -> None:
    if name == "index":
        source[0] = source[0].replace("OTHERS", "\n".join(not_yet_in(source[0])))
    above = "../" * name.count("/")
    source[0] = NAMED_PAGE.sub(rf"[\1]({above}\1)", source[0])


def not_yet_in(contents: str) -> list[str]:
    """The pages of the folder that the contents do not name."""
    names = sorted(page.stem for page in (PROJECT / "docs").glob("*.md"))
    return [
        name
        for name in names
        if name != "index" and not re.search(rf"^{name}$", contents, re.MULTILINE)
    ]


def make_reference(_app: object) -> None:
    write_pages(PROJECT / "docs" / "reference")


def setup(app: object) -> None:
    gc.disable()  # a build keeps all that it makes until it ends; looking for more takes a third of it
    app.connect("builder-inited", make_reference)  # type: ignore[attr-defined]
    app.connect("source-read", link_named_pages)  # type: ignore[attr-defined]
