"""A demo house of its own: a folder, a SQLite database, a web server on a free port."""

from __future__ import annotations

import os
import secrets
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent
STARTS_WITHIN = 30.0
PREPARATION = (
    ("migrate", "--noinput", "--run-syncdb", "-v", "0"),
    ("createcachetable",),
    ("collectstatic", "--noinput", "-v", "0"),
    ("load_demo",),
)


@contextmanager
def running_demo_house() -> Iterator[tuple[int, Path]]:
    """Serve the demo house on this machine only; gives its port and its folder."""
    with tempfile.TemporaryDirectory(prefix="loftbook-bench-") as name:
        folder, port = Path(name), _free_port()
        environ = _environment(folder, port)
        for command in PREPARATION:
            subprocess.run(
                [sys.executable, "-m", "django", *command],
                cwd=PROJECT, env=environ, check=True, stdout=subprocess.DEVNULL,
            )  # fmt: skip
        server = _start(port, environ)
        try:
            _wait_until_up(server, port)
            yield port, folder
        finally:
            _stop(server)


def _environment(folder: Path, port: int) -> dict[str, str]:
    """Nothing of the caller's own settings stays in force."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("LOFTBOOK_")}
    for private in ("files", "keys"):
        (folder / private).mkdir(mode=0o700)
    return kept | {
        "DJANGO_SETTINGS_MODULE": "bench.settings",
        "DATABASE_URL": f"sqlite:///{folder}/demo.sqlite3",
        "LOFTBOOK_SECRET_KEY": secrets.token_urlsafe(60),
        "LOFTBOOK_ADDRESS": f"http://localhost:{port}",
        "LOFTBOOK_HOSTS": "127.0.0.1",
        "LOFTBOOK_FILES": str(folder / "files"),
        "LOFTBOOK_KEYS": str(folder / "keys"),
        "LOFTBOOK_LOG_LEVEL": "WARNING",
    }


def _free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        port: int = trial.getsockname()[1]
    return port


def _start(port: int, environ: dict[str, str]) -> subprocess.Popen[bytes]:
    """The web server as `make run` starts it, but heard on this machine only."""
    command = [
        sys.executable, "-m", "granian", "--interface", "wsgi", "--host", "127.0.0.1",
        "--port", str(port), "--workers", "2", "--blocking-threads", "4", "--backpressure", "32",
        "--no-ws", "--log-level", "warning", "config.wsgi:application",
    ]  # fmt: skip
    return subprocess.Popen(command, cwd=PROJECT, env=environ, start_new_session=True)


def _wait_until_up(server: subprocess.Popen[bytes], port: int) -> None:
    deadline = time.monotonic() + STARTS_WITHIN
    while time.monotonic() < deadline and server.poll() is None:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/healthz", timeout=5):
                return
        except OSError:
            time.sleep(0.2)
    raise RuntimeError("The web server did not start; the lines above say why.")


def _stop(server: subprocess.Popen[bytes]) -> None:
    """The group was made by us and holds the server and its web processes only."""
    if server.poll() is None:
        os.killpg(server.pid, signal.SIGTERM)
    try:
        server.wait(15)
    except subprocess.TimeoutExpired:
        os.killpg(server.pid, signal.SIGKILL)
        server.wait()
