"""The background workers really run, are replaced when they hang, and stop when asked."""

import os
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing

import pytest

from tests.tooling.processes import BASE, is_alive, own_environ, processes_of, start, wait_for

IMPATIENT = ["--probe-every", "1", "--stale-after", "10", "--look-every", "0.2"]


@pytest.fixture
def worker(tmp_path):
    """A supervisor at work on a database of its own, in which a foreign schedule was left."""
    environ = own_environ(tmp_path)
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "-v", "0"],
        cwd=BASE, env=environ, check=True,
    )  # fmt: skip
    answers(tmp_path, "insert into django_q_schedule (func, schedule_type, repeats, name) "
            "values ('os.getcwd', 'D', -1, 'left over') returning id")  # fmt: skip
    process = start(["manage.py", "worker", *IMPATIENT], environ, tmp_path / "out")
    yield process
    for pid, _ in processes_of(process.pid):
        os.kill(pid, signal.SIGKILL)
    process.kill()
    process.wait()


def answers(folder, question):
    with closing(sqlite3.connect(folder / "own.sqlite3", timeout=20)) as database, database:
        return database.execute(question).fetchall()


def probes(folder):
    question = "select id from django_q_task where \"group\" = 'probe' and success"
    return {row[0] for row in answers(folder, question)}


def test_a_hung_cluster_is_replaced_and_a_stop_leaves_nothing_behind(worker, tmp_path):
    out = tmp_path / "out"
    first = wait_for(lambda: probes(tmp_path), "finished probe", out, worker)
    schedules = answers(tmp_path, "select func, minutes, repeats from django_q_schedule")
    assert schedules == [("inspections.jobs.tick", 5, -1)]

    hung = processes_of(worker.pid)
    assert len(hung) == 6, "django-q2's cluster is six processes; did it change?"
    assert len({group for _, group in hung}) == 1
    for pid, _ in hung:
        os.kill(pid, signal.SIGSTOP)
    before = probes(tmp_path)
    wait_for(lambda: probes(tmp_path) - before, "probe after the hang", out, worker)
    assert first <= before
    assert "silent for" in out.read_text()
    assert [pid for pid, _ in hung if is_alive(pid)] == []

    replacement = processes_of(worker.pid)
    worker.send_signal(signal.SIGTERM)
    assert worker.wait(30) == 0
    assert [pid for pid, _ in replacement if is_alive(pid)] == []


def test_a_killed_supervisor_takes_its_cluster_along(worker, tmp_path):
    wait_for(lambda: probes(tmp_path), "finished probe", tmp_path / "out", worker)
    orphans = [pid for pid, _ in processes_of(worker.pid)]
    assert orphans
    worker.kill()
    wait_for(
        lambda: not any(is_alive(pid) for pid in orphans), "end of the cluster", tmp_path / "out"
    )
