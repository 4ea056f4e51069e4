"""The set-up scripts: what they make, what they leave alone, what they say."""

import os
import socket
import stat

import pytest

from config import environment
from config.setup import addresses, own_files, system_packages


def test_secrets_are_made_once_and_readable_by_their_owner_only(tmp_path):
    env_file, var = tmp_path / ".env", tmp_path / "var"
    own_files.ensure(env_file, var)
    first = env_file.read_bytes()
    own_files.ensure(env_file, var)
    assert env_file.read_bytes() == first
    assert stat.S_IMODE(env_file.stat().st_mode) == 0o600
    assert stat.S_IMODE((var / "keys").stat().st_mode) == 0o700


def test_the_made_secrets_are_an_environment_loftbook_starts_with(tmp_path):
    environ = {}
    own_files.ensure(tmp_path / ".env", tmp_path / "var")
    environment.read_env_file(tmp_path / ".env", environ)
    environment.check_names(environ)
    environment.check_values(environ)
    own_files.ensure(tmp_path / "other.env", tmp_path / "var")
    another = {}
    environment.read_env_file(tmp_path / "other.env", another)
    assert another["LOFTBOOK_SECRET_KEY"] != environ["LOFTBOOK_SECRET_KEY"]
    assert another["LOFTBOOK_PUSH_KEY"] != environ["LOFTBOOK_PUSH_KEY"] != ""
    assert environ["LOFTBOOK_PUSH"] == "no"
    assert environ["LOFTBOOK_KEY_SECRET"] not in ("", environ["LOFTBOOK_SECRET_KEY"])


def test_a_taken_port_is_passed_over_but_refused_when_it_was_asked_for(monkeypatch, capsys):
    with socket.socket() as taken:
        taken.bind(("0.0.0.0", 0))
        taken.listen()
        port = taken.getsockname()[1]
        monkeypatch.setattr(addresses, "FIRST_PORT", port)
        assert addresses.choose_port({}) > port
        with pytest.raises(SystemExit):
            addresses.choose_port({"PORT": str(port)})
    assert "is taken" in capsys.readouterr().err


@pytest.mark.parametrize("asked", ["eighty", "0", "70000", "-1"])
def test_a_port_that_is_no_port_is_refused(asked, capsys):
    with pytest.raises(SystemExit):
        addresses.choose_port({"PORT": asked})
    assert "PORT must be a number" in capsys.readouterr().err


def test_a_configured_address_is_kept_and_localhost_becomes_the_houses_own(monkeypatch):
    monkeypatch.setattr(addresses, "house_address", lambda: "192.168.7.5")
    kept = addresses.public_address("https://loft.example.org", 8000)
    own = addresses.public_address("http://localhost:8000", 8003)
    assert (kept, own) == ("https://loft.example.org", "http://192.168.7.5:8003")


def test_a_library_that_is_missing_is_named_by_its_package():
    libraries = {"libc.so.6": "libc6", "libnowhere.so.9": "libnowhere9"}
    assert system_packages.missing_libraries(libraries) == ["libnowhere9"]


def test_a_program_that_is_missing_is_named_by_its_package(monkeypatch):
    programs = {"sh": "dash", "no-such-program": "nowhere", "/usr/nowhere/*/bin/x": "nobody"}
    monkeypatch.setattr(system_packages, "TEST_PROGRAMS", programs)
    assert system_packages.missing_test_programs() == ["nowhere", "nobody"]


def test_without_root_the_administrator_is_asked_by_the_exact_command(monkeypatch, capsys):
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    monkeypatch.setattr(system_packages.shutil, "which", lambda _name: None)
    monkeypatch.setattr(system_packages, "missing_test_programs", lambda: ["qpdf", "chromium"])
    with pytest.raises(SystemExit):
        system_packages.ensure_test_programs()
    assert "apt-get install qpdf chromium" in capsys.readouterr().err


def test_the_packages_to_fetch_are_read_from_a_simulated_install():
    simulation = ["printf", "Inst liba (1.2 Debian)\\nConf liba\\nInst libb [1] (2 Debian)\\n"]
    assert system_packages.needed_for(simulation) == ["liba", "libb"]
