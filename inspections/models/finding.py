from __future__ import annotations

from typing import ClassVar

from django.db import models

from inspections.models.record import Answer, Record
from venue.models import Equipment, KeptFile, Part, Person, Venue
from venue.models.visibility import VisibleQuerySet


class Grade(models.TextChoices):
    """Five outcomes, not two."""

    NOT_USED = "not_used_until_cured", "Not used until cured"
    USED_UNTIL = "used_until_date", "Used until a stated date, then out of service"
    RESTRICTED = "restricted", "Used with a restriction"
    OBSERVATION = "observation", "Observation"
    IMMINENT = "imminent_risk", "Imminent risk of serious injury"


class Finding(models.Model):
    """Something wrong, with a grade. Only inserted; a remedy and a return close it."""

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="findings")
    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="findings")
    part = models.ForeignKey(Part, on_delete=models.PROTECT, null=True, related_name="findings")
    record = models.ForeignKey(Record, on_delete=models.PROTECT, null=True, related_name="findings")
    answer = models.ForeignKey(Answer, on_delete=models.PROTECT, null=True, related_name="findings")
    grade = models.CharField(max_length=24, choices=Grade)
    what = models.CharField(max_length=300)
    detail = models.TextField(blank=True)
    cured_by = models.DateField(null=True, blank=True)
    restriction = models.TextField(blank=True)
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~models.Q(grade="used_until_date") | models.Q(cured_by__isnull=False),
                name="used_until_a_date_has_the_date",
            ),
            models.CheckConstraint(
                condition=~models.Q(grade="restricted") | ~models.Q(restriction=""),
                name="a_restriction_says_what_it_is",
            ),
        ]

    def __str__(self) -> str:
        return self.what

    @property
    def is_open(self) -> bool:
        """Until it has a remedy and each of its orders is lifted. Both are fetched with the row."""
        lifted = all(hasattr(order, "returned") for order in self.orders.all())
        return not (lifted and self.remedies.all())


class Remedy(models.Model):
    """What was done about a finding, by whom, with its evidence."""

    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="remedies")
    what = models.TextField()
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    venue_path = "finding__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["at", "pk"]

    def __str__(self) -> str:
        return self.what[:80]


class RemedyFile(models.Model):
    remedy = models.ForeignKey(Remedy, on_delete=models.PROTECT, related_name="files")
    kept_file = models.ForeignKey(KeptFile, on_delete=models.PROTECT, related_name="+")

    venue_path = "remedy__finding__venue"
    objects = VisibleQuerySet.as_manager()

    def __str__(self) -> str:
        return self.kept_file.name


class Order(models.Model):
    """An order on equipment: out of service, restricted, or out of service by itself from a date."""

    class What(models.TextChoices):
        OUT_OF_SERVICE = "out_of_service", "Out of service"
        RESTRICTED = "restricted", "Restricted"
        BARRED_FROM = "barred_from", "Out of service from a date"

    venue = models.ForeignKey(Venue, on_delete=models.PROTECT, related_name="orders")
    equipment = models.ForeignKey(Equipment, on_delete=models.PROTECT, related_name="orders")
    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="orders")
    what = models.CharField(max_length=16, choices=What)
    why = models.TextField()
    restriction = models.TextField(blank=True)
    bites_on = models.DateField()  # the first day it is in force, in the venue's calendar
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    objects = VisibleQuerySet.as_manager()

    class Meta:
        ordering: ClassVar = ["-at", "-pk"]
        constraints: ClassVar = [
            models.UniqueConstraint(
                fields=["finding", "what"], name="one_order_per_finding_and_kind"
            )
        ]

    def __str__(self) -> str:
        return f"{self.equipment.tag} {self.get_what_display()}"

    @property
    def what_begins(self) -> str:
        """What it is once it bites, to be said before "from" and its first day."""
        later = self.what == self.What.BARRED_FROM
        return self.What.OUT_OF_SERVICE.label if later else self.get_what_display()


class ReturnToService(models.Model):
    """The signed new inspection that lifts an order. Never by the one who did the remedy."""

    order = models.OneToOneField(Order, on_delete=models.PROTECT, related_name="returned")
    remedy = models.ForeignKey(Remedy, on_delete=models.PROTECT, related_name="returns")
    remedied_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="+")
    by_name = models.CharField(max_length=200)
    by_competence = models.CharField(max_length=300)
    statement = models.TextField()
    at = models.DateTimeField()

    venue_path = "order__venue"
    objects = VisibleQuerySet.as_manager()

    class Meta:
        constraints: ClassVar = [
            models.CheckConstraint(
                condition=~models.Q(by=models.F("remedied_by")), name="a_second_person_returns_it"
            )
        ]

    def __str__(self) -> str:
        return f"{self.order} returned"


class AuthorityNotice(models.Model):
    """The notice to the enforcing authority, prepared even if the risk was cured on the spot."""

    finding = models.OneToOneField(Finding, on_delete=models.PROTECT, related_name="notice")
    text = models.TextField()
    at = models.DateTimeField()

    venue_path = "finding__venue"
    objects = VisibleQuerySet.as_manager()

    def __str__(self) -> str:
        return f"Notice: {self.finding}"
