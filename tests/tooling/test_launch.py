"""`make run`: comes up on an empty database, answers, and leaves nothing when interrupted."""

import contextlib
import os
import pty
import signal
import subprocess
import threading
import urllib.error
import urllib.request

import pytest

from tests.postgres import free_port
from tests.tooling.processes import (
    AT_ONCE,
    BASE,
    WAIT,
    is_alive,
    own_environ,
    processes_of,
    send_to,
    start,
    wait_for,
)

CTRL_C = b"\x03"


@pytest.fixture
def environ(tmp_path):
    return own_environ(tmp_path, LOFTBOOK_DEMO="no", PORT=str(free_port()))


def page_of(environ):
    return f"http://localhost:{environ['PORT']}/account/login/"


def status(address):
    try:
        with urllib.request.urlopen(address, timeout=5) as answer:
            return answer.status
    except urllib.error.HTTPError as refusal:
        return refusal.code
    except OSError:
        return None


OF_MAKE = {"MAKEFLAGS", "MFLAGS", "MAKELEVEL"}


class Terminal:
    """Someone types `make run` at a terminal of their own, and sees what is written there."""

    def __init__(self, environ, out):
        """The set-up itself is left out: what the tests need is there."""
        self.out, (self.keys, inner) = out, pty.openpty()
        # Without the marks of a make that runs the tests themselves.
        environ = {name: each for name, each in environ.items() if name not in OF_MAKE}
        self.process = subprocess.Popen(
            ["setsid", "--ctty", "--wait", "make", "-o", "setup", "run"],
            cwd=BASE, env=environ, stdin=inner, stdout=inner, stderr=inner,
        )  # fmt: skip
        os.close(inner)
        self.reader = threading.Thread(target=self.read, daemon=True)
        self.reader.start()

    def read(self):
        with self.out.open("wb", buffering=0) as seen, contextlib.suppress(OSError):
            while words := os.read(self.keys, 4096):
                seen.write(words)

    def types(self, keys):
        os.write(self.keys, keys)


@pytest.fixture
def terminal(environ, tmp_path):
    someone = Terminal(environ, tmp_path / "out")
    yield someone
    send_to((pid for pid, _ in processes_of(someone.process.pid)), signal.SIGTERM)
    someone.process.wait(WAIT)
    os.close(someone.keys)


@pytest.mark.long
def test_one_command_brings_loftbook_up_and_ctrl_c_ends_it_with_a_sentence(
    terminal, environ, tmp_path
):
    out, process = tmp_path / "out", terminal.process
    assert wait_for(lambda: status(page_of(environ)), "answer", out, process) == 200
    wait_for(lambda: "Ctrl-C stops it" in out.read_text(), "greeting", out, process)
    assert "The set-up code" in out.read_text(), "the database is empty"
    started = processes_of(process.pid)
    assert len({group for _, group in started}) >= 3, "make, web server and worker are apart"
    terminal.types(CTRL_C)
    assert process.wait(WAIT) == 0
    terminal.reader.join(WAIT)
    wait_for(
        lambda: not any(is_alive(pid) for pid, _ in started),
        "end of all of it",
        out,
        within=AT_ONCE,
    )
    assert status(page_of(environ)) is None
    said = out.read_text().split("Ctrl-C stops it.")[1]
    assert said.splitlines()[-1] == "Loftbook has stopped."
    assert "Error" not in said
    assert "Traceback" not in said


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGHUP])
def test_told_to_stop_while_it_prepares_it_starts_nothing(environ, tmp_path, number):
    out = tmp_path / "out"
    process = start(["-m", "config.setup.launch"], environ, out)
    wait_for(lambda: "up to date" in out.read_text(), "first step", out, process)
    process.send_signal(number)
    assert process.wait(WAIT) == 0
    said = out.read_text()
    assert said.endswith("\nLoftbook has stopped.\n")
    assert "Traceback" not in said
    assert processes_of(process.pid) == []
    assert status(page_of(environ)) is None
