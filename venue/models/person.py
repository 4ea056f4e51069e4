from __future__ import annotations

from collections.abc import Callable
from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models

from venue.languages import LANGUAGES
from venue.models.venue import Venue
from venue.models.visibility import VisibleQuerySet


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, email: str, name: str, password: str | None = None) -> Person:
        person = self.model(email=self.normalize_email(email), name=name)
        person.set_password(password)
        person.save(using=self._db)
        return person


class Person(AbstractBaseUser):
    """Someone who signs in. What they may do is a role per venue, never a flag on the person."""

    email = models.EmailField(unique=True)
    name = models.CharField(max_length=200)
    is_active = models.BooleanField(default=True)
    date_joined = models.DateTimeField(auto_now_add=True)
    # Empty: the house's, and where it has none, what the browser asks for.
    language = models.CharField(max_length=8, choices=LANGUAGES, blank=True, default="")

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]

    objects = PersonManager()

    def __str__(self) -> str:
        return self.name

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        """A model whose words name a person says here how a log line is headed, `name` giving the
        reference that stands for the name, at the very beginning. A person's own number says it."""
        return f"Person {self.pk}"

    def venue_ids(self) -> models.QuerySet:
        return Membership.objects.filter(person=self, ended_on__isnull=True).values("venue_id")


class Role(models.TextChoices):
    MANAGER = "manager", "Facilities manager"
    COMPETENT = "competent", "Competent person"
    STAGEHAND = "stagehand", "Stagehand"
    EXAMINER = "examiner", "Outside examiner"
    AUDITOR = "auditor", "Auditor or insurer"


class Membership(models.Model):
    """The role a person holds in a venue."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="memberships")
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=16, choices=Role)
    since = models.DateField()
    ended_on = models.DateField(null=True, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["person", "venue"],
                condition=models.Q(ended_on__isnull=True),
                name="one_role_per_person_and_venue",
            )
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        return f"{name(self.person)}, {self.get_role_display()}, {self.venue}"


class Competence(models.Model):
    """Why a person may do work of a level, until when. Lapsed: may record, may not sign."""

    class Level(models.TextChoices):
        TRAINED_USER = "trained_user", "Trained user"
        COMPETENT_PERSON = "competent_person", "Competent person"
        QUALIFIED_PERSON = "qualified_person", "Qualified person"
        OUTSIDE_EXAMINER = "outside_examiner", "Outside examiner"

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="competences")
    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="competences")
    level = models.CharField(max_length=24, choices=Level)
    certificate = models.CharField(max_length=200)
    issued_by = models.CharField(max_length=200)
    valid_from = models.DateField()
    expires_on = models.DateField(null=True, blank=True)

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["expires_on", "pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=models.Q(expires_on__isnull=True)
                | models.Q(expires_on__gte=models.F("valid_from")),
                name="competence_ends_after_it_starts",
            )
        ]

    def __str__(self) -> str:
        return self.said_in_log(str)

    def said_in_log(self, name: Callable[[Any], str]) -> str:
        until = self.expires_on or "no end"
        return f"{name(self.person)}: {self.get_level_display()} until {until}"
