"""The means of the tests themselves."""

import socket
from pathlib import Path

import psycopg
import pytest


def test_a_server_of_postgresql_starts_for_the_tests(postgres_url):
    with psycopg.connect(postgres_url) as connection:
        assert connection.execute("select 6 * 7").fetchone() == (42,)


@pytest.mark.browser
def test_a_real_browser_starts_for_the_tests(chromium):
    tab = chromium.new_page()
    tab.set_content("<title>The Larkspur</title>")
    assert tab.title() == "The Larkspur"
    tab.close()


def test_a_test_cannot_leave_this_machine():
    with socket.socket() as trial, pytest.raises(AssertionError, match=r"192\.0\.2\.1"):
        trial.connect(("192.0.2.1", 80))


@pytest.mark.both_databases
def test_the_run_is_on_the_database_it_says(db):
    from django.db import connection

    from tests.environment import wanted_database

    assert connection.vendor == {"sqlite": "sqlite", "postgres": "postgresql"}[wanted_database()]
    if connection.vendor == "sqlite":
        name = connection.settings_dict["NAME"]
        assert Path(str(name)).is_file(), "a memory database has other locks than the real one"
