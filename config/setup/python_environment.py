"""The Python environment in .venv, made also where Debian leaves out its usual means."""

import importlib.util
import shutil
import subprocess
import sys
from pathlib import Path

from config.setup import system_packages
from config.setup.places import BASE, PYTHON, VENV
from config.setup.speech import refuse, say

# Printed by the environment's own Python: the pins it does not meet.
UNMET = """
import re, sys
from importlib.metadata import PackageNotFoundError, version
for path in sys.argv[1:]:
    for line in open(path, encoding="utf-8"):
        pin = re.match(r"([A-Za-z0-9._-]+)(?:\\[[^]]*\\])?==([^\\s;]+)", line)
        if not pin:
            continue
        try:
            met = version(pin[1]) == pin[2]
        except PackageNotFoundError:
            met = False
        if not met:
            print(pin[1])
"""


def ensure(requirements: list[str]) -> None:
    """Have every pinned package of the named files, and nothing done when they are there."""
    files = [str(BASE / name) for name in requirements]
    if not works():
        make()
    if unmet(files):
        say("Installing the Python packages; the first time takes a minute or two.")
        install(files[-1])
    put_project_on_path()


def works() -> bool:
    """Whether .venv holds a Python that starts."""
    if not PYTHON.exists():
        return False
    return subprocess.run([str(PYTHON), "-c", ""], check=False).returncode == 0


def make() -> None:
    """Make .venv; a half-made one is removed first, since neither way repairs it."""
    say("Making the Python environment in .venv.")
    shutil.rmtree(VENV, ignore_errors=True)
    if not has("ensurepip") and not has("pip"):
        get_installer()
    options = [] if has("ensurepip") else ["--without-pip"]
    subprocess.run([sys.executable, "-m", "venv", *options, str(VENV)], check=True)


def has(module: str) -> bool:
    """Whether this Python has a module; Debian keeps ensurepip in python3-venv."""
    importlib.invalidate_caches()
    return importlib.util.find_spec(module) is not None


def get_installer() -> None:
    """Neither of the two ways to install is here, so get one."""
    say("Getting python3-venv, since this Python can install nothing yet.")
    packages = ["python3-venv"]
    if system_packages.install(packages) or not has("ensurepip"):
        system_packages.ask_administrator(packages, "This Python has neither pip nor venv.")


def unmet(files: list[str]) -> list[str]:
    """The names of pinned packages that are absent or of another version."""
    command = [str(PYTHON), "-c", UNMET, *files]
    return subprocess.run(
        command, capture_output=True, text=True, check=True
    ).stdout.split()  # fmt: skip


def install(requirements: str) -> None:
    """Install one file of pins (the development one names the other)."""
    own = subprocess.run([str(PYTHON), "-m", "pip", "--version"], capture_output=True, check=False)
    pip = [str(PYTHON), "-m", "pip"]
    if own.returncode:
        if not has("pip"):
            get_installer()
        # The system's pip reaches into the environment, and PEP 668 has no objection to that.
        pip = [sys.executable, "-m", "pip", "--python", str(PYTHON)]
    options = ["--quiet", "--disable-pip-version-check", "--no-input"]
    done = subprocess.run([*pip, *options, "install", "-r", requirements], check=False)
    if done.returncode:
        refuse("The Python packages could not be installed; the lines above say why.")


def put_project_on_path() -> None:
    """Let the environment's programs (pytest, say) import the project from any folder."""
    for folder in Path(VENV / "lib").glob("python3*/site-packages"):
        line = folder / "loftbook.pth"
        if not line.is_file() or line.read_text(encoding="utf-8").strip() != str(BASE):
            line.write_text(f"{BASE}\n", encoding="utf-8")


SEARCH = BASE / "inspections" / "planning" / "annealing"


def compile_search() -> None:
    """Compile the planner's search once for each version of it; the first plan would wait else."""
    newest = max(file.stat().st_mtime for file in SEARCH.glob("*.py"))
    made = [file.stat().st_mtime for file in SEARCH.glob("__pycache__/compiled-*/**/*.nbi")]
    if made and max(made) > newest:
        return
    say("Compiling the planner's search; once, for some seconds.")
    # Where nothing can be kept each planning job compiles for itself, so this is no fault.
    subprocess.run([str(PYTHON), "-m", "inspections.planning.annealing"], cwd=BASE, check=False)
