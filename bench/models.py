"""The rows of the bare pages. No migrations: `migrate --run-syncdb` makes the table."""

from __future__ import annotations

from typing import ClassVar

from django.db import models


class BareRow(models.Model):
    """As little as a row can be while still saying something."""

    sheet = models.IntegerField(db_index=True)
    words = models.CharField(max_length=200)

    objects: ClassVar[models.Manager[BareRow]] = models.Manager()

    def __str__(self) -> str:
        return self.words
