"""Finds every calculator: each module below this package that has a `CALCULATOR`. Pure."""

from __future__ import annotations

import pkgutil
from functools import cache
from importlib import import_module
from pathlib import Path

from rigging.calculators.contract import Calculator


@cache
def load_calculators() -> dict[str, Calculator]:
    """All calculators by slug, by family and title. Two with one slug are refused."""
    found: dict[str, Calculator] = {}
    package = Path(__file__).parent
    for module in pkgutil.walk_packages([str(package)], "rigging.calculators."):
        one = getattr(import_module(module.name), "CALCULATOR", None)
        if one is None:
            continue
        if one.slug in found:
            raise ValueError(f"{module.name}: there is already a calculator “{one.slug}”.")
        found[one.slug] = one
    return dict(sorted(found.items(), key=lambda item: (item[1].family, item[1].title)))
