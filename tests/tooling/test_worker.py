"""The background workers really run, are replaced when they hang, and stop when asked."""

import hashlib
import shutil
import signal
import sqlite3
import subprocess
import sys
import zipfile
from contextlib import closing

import pytest

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

pytestmark = pytest.mark.long

IMPATIENT = ["--probe-every", "1", "--stale-after", "15", "--look-every", "0.2"]
LONG_LOG = 300_000
# A log so long that a kill comes in the middle of packing it. Nothing checks its texts meanwhile.
ASK_FOR_A_LONG_BUNDLE = f"""
import django; django.setup()
from datetime import date
from django.db import connection, transaction
from django.utils import timezone
from inspections.actions.ask_for_evidence import ask_for_evidence
from venue.merkle import Frontier, leaf_hash
from venue.models import LogHead, LogLine, Organisation, Person, Venue
day, now = date(2026, 2, 10), timezone.now()
with transaction.atomic():
    trust = Organisation.objects.create(slug="larkspur-trust", name="Larkspur Trust")
    venue = Venue.objects.create(organisation=trust, slug="larkspur", name="Larkspur", time_zone="UTC")
    odile = Person.objects.create_user("odile@larkspur.example", "Odile Varga", "fly-gallery-1180")
    ask_for_evidence(venue=venue, start=day, end=day, by=odile, at=now)
    with connection.cursor() as cursor:
        cursor.execute('''insert into venue_logline
            (venue_id, number, at, by_name, did, subject, label, body, sha256)
            with recursive line(n) as (select 2 union all select n + 1 from line where n < {LONG_LOG})
            select venue_id, n, at, by_name, did, subject, label, body, "" from venue_logline, line
            ''')
    tree = Frontier()
    tree.add_all([leaf_hash(LogLine.objects.first().body.encode())] * {LONG_LOG})
    LogHead.objects.update(size=tree.size, root=tree.root().hex(), frontier=tree.hex())
"""

# One check of many answers, so that a kill comes in the middle of printing it.
ASK_FOR_A_REPORT = """
import django; django.setup()
from inspections.actions.ask_for_report import ask_for_report
from inspections.reports.words import MEANINGS
from tests.inspections.proof_house import AT, answer_said, make_proof_house, make_record
house = make_proof_house()
answers = [answer_said(f"Clamp {number} is tight", "fit") for number in range(500)]
records = [make_record(house, answers=answers)]
ask_for_report(venue=house.venue, records=records, signer=house.tam, meaning=MEANINGS[0], at=AT)
"""


@pytest.fixture(scope="module")
def migrated(tmp_path_factory):
    """An empty database with every table."""
    folder = tmp_path_factory.mktemp("migrated")
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "-v", "0"],
        cwd=BASE, env=own_environ(folder), check=True,
    )  # fmt: skip
    return folder / "own.sqlite3"


@pytest.fixture
def worker(migrated, tmp_path):
    """A supervisor at work on a database of its own, in which a foreign schedule was left."""
    environ = own_environ(tmp_path)
    shutil.copy(migrated, tmp_path / "own.sqlite3")
    answers(tmp_path, "insert into django_q_schedule (func, schedule_type, repeats, name) "
            "values ('os.getcwd', 'D', -1, 'left over') returning id")  # fmt: skip
    process = start(["manage.py", "worker", *IMPATIENT], environ, tmp_path / "out")
    yield process
    send_to((pid for pid, _ in processes_of(process.pid)), signal.SIGKILL)
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
    assert len(hung) == 7, "main, sentinel, monitor, pusher, three workers; did it change?"
    assert len({group for _, group in hung}) == 1
    send_to((pid for pid, _ in hung), signal.SIGSTOP)
    before = probes(tmp_path)
    wait_for(lambda: probes(tmp_path) - before, "probe after the hang", out, worker)
    assert first <= before
    assert "silent for" in out.read_text()
    assert [pid for pid, _ in hung if is_alive(pid)] == []

    replacement = processes_of(worker.pid)
    worker.send_signal(signal.SIGTERM)
    assert worker.wait(WAIT) == 0
    wait_for(
        lambda: not any(is_alive(pid) for pid, _ in replacement),
        "end of the cluster",
        out,
        within=AT_ONCE,
    )


def test_a_killed_supervisor_takes_its_cluster_along(worker, tmp_path):
    wait_for(lambda: probes(tmp_path), "finished probe", tmp_path / "out", worker)
    orphans = [pid for pid, _ in processes_of(worker.pid)]
    assert orphans
    worker.kill()
    wait_for(
        lambda: not any(is_alive(pid) for pid in orphans), "end of the cluster", tmp_path / "out"
    )


def test_a_bundle_whose_worker_was_killed_is_made_by_the_next_and_logged_once(worker, tmp_path):
    out = tmp_path / "out"
    wait_for(lambda: probes(tmp_path), "finished probe", out, worker)
    run(ASK_FOR_A_LONG_BUNDLE, tmp_path)
    # The job says "running" a moment before its file is begun.
    half = tmp_path / "files" / "bundles"
    wait_for(lambda: list(half.glob(".evidence-*")), "bundle begun", out, worker)
    pk = kill_in_the_middle(worker, tmp_path)
    assert [path.name[:10] for path in half.iterdir()] == [".evidence-"]

    wait_until_made_by_the_next(worker, tmp_path)
    made = tmp_path / "files" / "bundles" / f"{pk}-2.zip"
    with zipfile.ZipFile(made) as bundle:
        log = next(name for name in bundle.namelist() if name.endswith("log.jsonl"))
        assert bundle.read(log).count(b"\n") == LONG_LOG + 1  # and that the seal was made
    logged = answers(tmp_path, "select body from venue_logline where did = 'export_evidence'")
    assert len(logged) == 1
    assert hashlib.sha256(made.read_bytes()).hexdigest() in logged[0][0]


def test_a_report_whose_worker_was_killed_is_made_by_the_next_and_issued_once(worker, tmp_path):
    wait_for(lambda: probes(tmp_path), "finished probe", tmp_path / "out", worker)
    run(ASK_FOR_A_REPORT, tmp_path)
    wait_for(lambda: job(tmp_path)[1] == "running", "job taken up", tmp_path / "out", worker)
    kill_in_the_middle(worker, tmp_path)
    assert reports(tmp_path) == []
    wait_until_made_by_the_next(worker, tmp_path)
    ((number, sha256),) = reports(tmp_path)
    assert number == 1
    kept = [path for path in (tmp_path / "files").rglob("*") if path.name == sha256]
    assert [hashlib.sha256(path.read_bytes()).hexdigest() for path in kept] == [sha256]
    logged = answers(tmp_path, "select body from venue_logline where did = 'issue_report'")
    assert len(logged) == 1
    assert sha256 in logged[0][0]


def reports(folder):
    return answers(
        folder,
        "select number, sha256 from inspections_report "
        "join venue_keptfile on venue_keptfile.id = kept_file_id",
    )


def kill_in_the_middle(worker, folder):
    """The number of the job, which nobody works on any longer."""
    killed = [pid for pid, _ in processes_of(worker.pid)]
    send_to(killed, signal.SIGKILL)
    wait_for(lambda: not any(is_alive(pid) for pid in killed), "end of the cluster", folder / "out")
    pk, state, attempts = job(folder)
    assert (state, attempts) == ("running", 1), "the kill came too late to prove anything"
    return pk


def wait_until_made_by_the_next(worker, folder):
    # The minute of its lease goes by.
    answers(folder, "update inspections_job set lease_until = '2026-01-01 00:00:00' returning 1")
    wait_for(lambda: job(folder)[1] == "done", "the work", folder / "out", worker)
    assert job(folder)[2] == 2


def run(program, folder):
    environ = {**own_environ(folder), "DJANGO_SETTINGS_MODULE": "config.settings"}
    subprocess.run([sys.executable, "-c", program], cwd=BASE, env=environ, check=True)


def job(folder):
    return answers(folder, "select id, state, attempts from inspections_job")[0]
