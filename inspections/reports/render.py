"""Ask a child process for the PDF of a page. Whatever happens there, this process lives on."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

WALL_SECONDS = 90


class PdfNotMade(RuntimeError):
    """The PDF could not be made; nothing was issued or kept."""


@dataclass(frozen=True)
class Page:
    """A page ready to print. Photographs by the name the page uses for them."""

    html: str
    record_json: str
    record_sha256: str
    paper: str
    at: datetime
    photographs: Mapping[str, Path]


def rendered(page: Page, project: Path) -> bytes:
    """The unsigned PDF. Raises PdfNotMade with the child's own words."""
    with tempfile.TemporaryDirectory(prefix="report-") as name:
        folder = Path(name)
        _prepare(folder, page, project)
        _run(folder, project)
        return (folder / "report.pdf").read_bytes()


def _prepare(folder: Path, page: Page, project: Path) -> None:
    order = {
        "styles": str(project / "static" / "css" / "report.css"),
        "paper": page.paper,
        "identifier": page.record_sha256[:32],
        "at": page.at.isoformat(),
    }
    (folder / "order.json").write_text(json.dumps(order), encoding="utf-8")
    (folder / "page.html").write_text(page.html, encoding="utf-8")
    (folder / "record.json").write_text(page.record_json, encoding="utf-8")
    for name, path in page.photographs.items():
        (folder / name).symlink_to(path)


def _run(folder: Path, project: Path) -> None:
    command = [sys.executable, "-m", "inspections.reports.render_child", str(folder)]
    try:
        done = subprocess.run(
            command,
            cwd=project,
            env=_environment(folder, project),
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            timeout=WALL_SECONDS,
            check=False,
        )
    except (subprocess.TimeoutExpired, OSError) as fault:
        raise PdfNotMade("The PDF was not ready in time. Nothing was issued; try again.") from fault
    if done.returncode != 0 or not (folder / "report.pdf").is_file():
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        last = said[-1] if said else f"it ended with code {done.returncode}"
        raise PdfNotMade(f"The PDF could not be made ({last[:300]}). Nothing was issued.")


def _environment(folder: Path, project: Path) -> dict[str, str]:
    # No secrets go along: the child needs fonts and libraries, nothing else.
    environment = {
        "PATH": os.environ.get("PATH", ""),
        "HOME": str(folder),
        "LANG": "C.UTF-8",
        "PYTHONPATH": str(project),
        "PYTHONDONTWRITEBYTECODE": "1",
        "FONTCONFIG_FILE": str(project / "static" / "fonts" / "pdf" / "fonts.conf"),
        "XDG_CACHE_HOME": str(project / "var" / "fontcache"),
    }
    if libraries := os.environ.get("LD_LIBRARY_PATH"):
        environment["LD_LIBRARY_PATH"] = libraries
    return environment
