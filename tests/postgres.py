"""A PostgreSQL server of the tests' own: a fresh folder, a free port, gone afterwards."""

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from pathlib import Path

ROLE = "loftbook"
# Its data are thrown away, so it need not survive a power cut.
OPTIONS = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c max_connections=50"


class NoPostgres(Exception):
    """No server programs on this machine; the message says what to install."""


def programs() -> Path:
    """The folder of the newest server's programs."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda p: p.parts[-3])
    if found:
        return found[-1].parent
    on_path = shutil.which("initdb")
    if on_path:
        return Path(on_path).resolve().parent
    raise NoPostgres("PostgreSQL's server is not installed: apt-get install postgresql")


def free_port() -> int:
    """A port nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
    return port


class OwnPostgres:
    """One server; `start` returns its address."""

    def __init__(self) -> None:
        """Choose folder, port and the account that may run it: PostgreSQL refuses root."""
        self.programs = programs()
        self.folder = Path(tempfile.mkdtemp(prefix="loftbook-postgres-"))
        self.port = free_port()
        self.account = "postgres" if os.geteuid() == 0 else None
        if self.account:
            entry = pwd.getpwnam(self.account)
            os.chown(self.folder, entry.pw_uid, entry.pw_gid)

    def run(self, program: str, *arguments: str) -> None:
        """Run one of the server's programs as the account that may."""
        before = ["runuser", "-u", self.account, "--"] if self.account else []
        command = [*before, str(self.programs / program), *arguments]
        # No pipe: the server would inherit it and keep it open for as long as it lives.
        with (self.folder / "out.txt").open("a+") as out:
            done = subprocess.run(
                command, cwd=self.folder, stdout=out, stderr=out, check=False, timeout=90
            )
            if done.returncode:
                out.seek(0)
                raise NoPostgres(f"{program} failed: {out.read()[-2000:]}")

    def start(self) -> str:
        """Make the cluster, start it and its one database."""
        data = str(self.folder / "data")
        self.run(
            "initdb", "-D", data, "-U", ROLE, "-A", "trust", "--no-sync",
            "-E", "UTF8", "--locale=C.UTF-8",
        )  # fmt: skip
        listen = f"-c listen_addresses=127.0.0.1 -c unix_socket_directories={self.folder}"
        options = f"-p {self.port} {listen} {OPTIONS}"
        log = str(self.folder / "server.log")
        self.run("pg_ctl", "-D", data, "-w", "-l", log, "-o", options, "start")
        return f"postgres://{ROLE}@127.0.0.1:{self.port}/postgres"

    def stop(self) -> None:
        """Stop it at once and remove every trace."""
        if (self.folder / "data" / "postmaster.pid").exists():
            self.run("pg_ctl", "-D", str(self.folder / "data"), "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)
