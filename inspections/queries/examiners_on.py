"""Which outside examiner comes on a planned day, as far as certificates and absences tell."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inspections.models import Absence, ExaminerTrade, PlannedTask
from venue.models import Competence, Person, Venue


@dataclass(frozen=True)
class Examiners:
    """`named`: by trade, whoever is named for it. `away`: first and last days, by person."""

    cards: list[Competence]
    named: dict[str, int]
    away: dict[int, list[tuple[date, date]]]

    def on(self, row: PlannedTask, chosen: Person | None) -> Person | None:
        """Whoever a person chose, while they can; else the one of the trade who can; nobody where
        two can or none."""
        able = self._able(row.day)
        if chosen is not None and chosen in able:
            return chosen
        named = self.named.get(row.examiner)
        those = {person for person in able if named in (None, person.pk)}
        return those.pop() if len(those) == 1 else None

    def _able(self, day: date) -> set[Person]:
        """Whose certificate is valid on the day, and who is not away."""
        return {
            card.person
            for card in self.cards
            if card.valid_from <= day and (card.expires_on is None or day <= card.expires_on)
            if not any(first <= day <= last for first, last in self.away.get(card.person_id, ()))
        }


def examiners_of(venue: Venue) -> Examiners:
    cards = Competence.objects.filter(venue=venue, level=Competence.Level.OUTSIDE_EXAMINER)
    named = ExaminerTrade.objects.filter(venue=venue, person__isnull=False)
    away: dict[int, list[tuple[date, date]]] = {}
    for row in Absence.objects.filter(venue=venue):
        away.setdefault(row.person_id, []).append((row.first_day, row.last_day))
    return Examiners(
        list(cards.select_related("person")), dict(named.values_list("slug", "person_id")), away
    )
