"""What stands at the top of the project, and what `make` offers."""

import subprocess
from pathlib import Path

import pytest

BASE = Path(__file__).resolve().parent.parent.parent
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "manage.py", "Makefile",
    "pyproject.toml", "requirements.txt", "requirements-dev.txt", ".ci", ".gitignore",
    "config", "venue", "rigging", "inspections", "templates", "static", "tests", "bench", "docs",
}  # fmt: skip
TARGETS = ["setup", "run", "test", "check", "bench", "screenshots"]


def git(*arguments: str) -> list[str]:
    command = ["git", "-c", f"safe.directory={BASE}", *arguments]
    return subprocess.run(
        command, cwd=BASE, capture_output=True, text=True, check=True
    ).stdout.splitlines()  # fmt: skip


def test_the_top_level_holds_exactly_what_is_agreed():
    assert set(git("ls-tree", "--name-only", "HEAD")) == TOP_LEVEL


@pytest.mark.parametrize("target", TARGETS)
def test_make_knows_each_promised_target(target):
    done = subprocess.run(
        ["make", "-n", target], cwd=BASE, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip(), f"make {target} would do nothing"


@pytest.mark.parametrize(
    "path", [".env", "var/loftbook.sqlite3", "var/keys/k.pem", ".venv/x", ".syslibs/x"]
)
def test_secrets_and_what_this_machine_made_are_ignored_by_git(path):
    assert git("check-ignore", path) == [path]


def test_the_ci_script_is_one_that_can_be_started():
    assert [line.split()[0] for line in git("ls-files", "--stage", ".ci/run")] == ["100755"]
    assert subprocess.run(["bash", "-n", BASE / ".ci" / "run"], check=False).returncode == 0
