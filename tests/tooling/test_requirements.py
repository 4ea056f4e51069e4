"""Every package that Loftbook brings onto a machine has an exact version."""

import re
from pathlib import Path

import pytest

from config.setup import pins, python_environment

BASE = Path(__file__).resolve().parent.parent.parent
FILES = ["requirements.txt", "requirements-dev.txt"]
PIN = re.compile(r"[A-Za-z0-9._-]+(\[[a-z,-]+\])?==[0-9][0-9a-z.]*")


def lines_of(name: str) -> list[str]:
    lines = (BASE / name).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


@pytest.mark.parametrize("name", FILES)
def test_every_line_is_an_exact_version(name):
    lines = [line for line in lines_of(name) if line != "-r requirements.txt"]
    assert len(lines) > 15
    assert [line for line in lines if not PIN.fullmatch(line)] == []


def test_nothing_is_brought_along_unpinned():
    pinned = {re.split(r"[\[=]", line)[0] for name in FILES for line in lines_of(name)}
    pinned = {pins.plain(name) for name in pinned}
    chosen = [wanted for name in FILES for wanted in pins.chosen(BASE / name)]
    assert len(chosen) > 30
    assert pins.closure(chosen).keys() - pinned == set()


def test_the_installed_packages_are_the_pinned_ones():
    assert python_environment.unmet([str(BASE / name) for name in FILES]) == []


def test_a_pin_that_is_not_met_is_noticed(tmp_path):
    wrong = tmp_path / "requirements.txt"
    wrong.write_text("Django==1.0\npytest==0.1  # old\nnot-installed-anywhere==3\n")
    assert python_environment.unmet([str(wrong)]) == [
        "Django",
        "pytest",
        "not-installed-anywhere",
    ]
