"""A season and its bundle, made once for each file of tests that asks for them."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.test import override_settings
from pytest_django import Settings

from tests.inspections.proof_house import House, make_proof_house
from tests.inspections.season import make_season, packed_bundle, unpacked_bundle
from tests.shared_rows import rows_of_a_file


@dataclass(frozen=True)
class Kept:
    """Rows that stand, with the files and keys that belong to them."""

    house: House
    files: Path
    keys: Path

    def settings(self) -> override_settings:
        return override_settings(LOFTBOOK_FILES=self.files, LOFTBOOK_KEYS=self.keys)


@pytest.fixture(scope="module")
def season_rows(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Kept]:
    files, keys = tmp_path_factory.mktemp("files"), tmp_path_factory.mktemp("keys")
    with rows_of_a_file(django_db_blocker):
        with (
            django_db_blocker.unblock(),
            override_settings(LOFTBOOK_FILES=files, LOFTBOOK_KEYS=keys),
        ):
            house = make_proof_house()
            make_season(house)
        yield Kept(house, files, keys)


@pytest.fixture
def season(
    season_rows: Kept, db: None, settings: Settings, tmp_path_factory: pytest.TempPathFactory
) -> House:
    """The house after its season. What a test does to its rows, files or keys is its own."""
    own = tmp_path_factory.mktemp("season")
    settings.LOFTBOOK_FILES = shutil.copytree(season_rows.files, own / "files")
    settings.LOFTBOOK_KEYS = shutil.copytree(season_rows.keys, own / "keys")
    return deepcopy(season_rows.house)


@pytest.fixture(scope="module")
def season_zip(
    season_rows: Kept, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Path:
    """The bundle of February; that it was handed out is forgotten again."""
    out = tmp_path_factory.mktemp("bundle") / "evidence.zip"
    with django_db_blocker.unblock(), season_rows.settings(), transaction.atomic():
        packed_bundle(season_rows.house, out)
        transaction.set_rollback(True)
    return out


@pytest.fixture
def bundle(season_zip: Path, tmp_path: Path) -> Path:
    """The bundle of February, unpacked for one test."""
    return unpacked_bundle(season_zip, tmp_path / "bundle")
