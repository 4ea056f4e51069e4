"""The few system packages that Python packages lean on: found, installed, or asked for."""

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from config.setup.places import SYSLIBS, SYSLIBS_FLAT
from config.setup.speech import refuse, say

# WeasyPrint draws reports with Pango; it loads these by name.
LIBRARIES = {
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
}
# Only the tests need these: the driver of the browser loads the first.
TEST_LIBRARIES = {"libatomic.so.1": "libatomic1"}
TEST_PROGRAMS = {
    "chromium": "chromium",
    "pdfsig": "poppler-utils",
    "qpdf": "qpdf",
    "certutil": "libnss3-tools",
    "/usr/lib/postgresql/*/bin/initdb": "postgresql",
}


def missing_libraries(libraries: dict[str, str]) -> list[str]:
    """Packages whose library does not load, tried in a fresh process as a worker would."""
    trial = (
        "import ctypes,sys\n"
        "for name in sys.argv[1:]:\n"
        "    try: ctypes.CDLL(name)\n"
        "    except OSError: print(name)\n"
    )
    environ = {**os.environ}
    if SYSLIBS_FLAT.is_dir():
        environ["LD_LIBRARY_PATH"] = str(SYSLIBS_FLAT)
    command = [sys.executable, "-c", trial, *libraries]
    done = subprocess.run(command, env=environ, capture_output=True, text=True, check=True)
    return [libraries[name] for name in done.stdout.split()]


def missing_test_programs() -> list[str]:
    """Packages whose program, or library of a program, is not there."""
    missing = [package for program, package in TEST_PROGRAMS.items() if not is_there(program)]
    return missing + missing_libraries(TEST_LIBRARIES)


def is_there(program: str) -> bool:
    """Whether a program is on the path, or a pattern of full paths finds one."""
    if program.startswith("/"):
        return any(Path("/").glob(program.lstrip("/")))
    return shutil.which(program) is not None


def as_root() -> list[str] | None:
    """What to write before a command so that root runs it; None where nobody can."""
    if os.geteuid() == 0:
        return []
    if shutil.which("sudo") and not quiet(["sudo", "-n", "true"]):
        return ["sudo", "-n"]
    return None


def quiet(command: list[str]) -> str:
    """Run a command; return "" when it went well, or the end of what it said."""
    environ = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "LC_ALL": "C.UTF-8"}
    done = subprocess.run(
        command, env=environ, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT, text=True, check=False,
    )  # fmt: skip
    return "" if done.returncode == 0 else (done.stdout[-1500:] or "it failed without a word")


def install(packages: list[str]) -> str:
    """Install with apt as root; the lists are fetched only when they are needed."""
    before = as_root()
    if before is None or not shutil.which("apt-get"):
        return "neither root nor sudo without a password, or no apt-get"
    command = [*before, "apt-get", "install", "-y", "--no-install-recommends", *packages]
    if before:
        command[len(before) : len(before)] = ["env", "DEBIAN_FRONTEND=noninteractive"]
    if not quiet(command):
        return ""
    return quiet([*before, "apt-get", "update"]) or quiet(command)


def ask_administrator(packages: list[str], why: str) -> None:
    """Say what a person with root must do, and stop."""
    names = " ".join(packages)
    refuse(f"{why}\nPlease ask an administrator to run:\n\n  apt-get install {names}")


def ensure_libraries() -> None:
    """Have Pango, by whichever way this machine allows."""
    missing = missing_libraries(LIBRARIES)
    if not missing:
        return
    say(f"Getting the libraries that draw reports: {', '.join(missing)}.")
    if install(missing):
        unpack_beside(missing)
    if missing_libraries(LIBRARIES):
        ask_administrator(missing, "The libraries that draw PDF reports are not here.")


def unpack_beside(packages: list[str]) -> str:
    """Without root: fetch the packages as a plain person and unpack them into .syslibs."""
    if not shutil.which("apt-get") or not shutil.which("dpkg"):
        return "no apt-get or no dpkg"
    with tempfile.TemporaryDirectory() as folder:
        apt = own_apt(Path(folder))
        failure = quiet([*apt, "update"])
        if failure:
            return failure
        wanted = needed_for([*apt, "install", "-s", "--no-install-recommends", *packages])
        failure = quiet(["env", "-C", folder, *apt, "download", *wanted])
        if failure:
            return failure
        (SYSLIBS / "root").mkdir(parents=True, exist_ok=True)
        for package in Path(folder).glob("*.deb"):
            subprocess.run(["dpkg", "-x", str(package), str(SYSLIBS / "root")], check=True)
    gather_libraries()
    return ""


def own_apt(folder: Path) -> list[str]:
    """An apt-get that keeps its lists in a folder of ours and reads what is installed."""
    for name in ("lists/partial", "cache/archives/partial"):
        (folder / name).mkdir(parents=True)
    return [
        "apt-get",
        "-qq",
        "-o", f"Dir::State::lists={folder}/lists",
        "-o", f"Dir::Cache={folder}/cache",
        "-o", "Debug::NoLocking=1",
    ]  # fmt: skip


def needed_for(simulation: list[str]) -> list[str]:
    """The packages that a simulated install would bring, such as `Inst libx (1.2 ...)`."""
    done = subprocess.run(simulation, capture_output=True, text=True, check=False)
    lines = [line.split() for line in done.stdout.splitlines()]
    return [words[1] for words in lines if words[:1] == ["Inst"]]


def gather_libraries() -> None:
    """Link every unpacked library into one folder, so that one path finds them all."""
    SYSLIBS_FLAT.mkdir(parents=True, exist_ok=True)
    for library in (SYSLIBS / "root").rglob("*.so*"):
        link = SYSLIBS_FLAT / library.name
        if not link.is_symlink():
            link.symlink_to(os.path.relpath(library, SYSLIBS_FLAT))


def ensure_test_programs() -> None:
    """Have the programs that the tests drive; ask for them all at once where we may not."""
    missing = missing_test_programs()
    if not missing:
        return
    say(f"Getting the programs that the tests drive: {', '.join(missing)}.")
    if install(missing):
        ask_administrator(missing, "The tests drive programs that are not here.")
