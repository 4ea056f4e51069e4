"""One answer with its judgements, and how they are written down: in the record's body and in rows.
Pure."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from rfc8785 import CanonicalizationError

from inspections.answers import Measured, Question, ReadAnswer
from rigging.engine import Judgement
from venue.log_hash import canonical


@dataclass(frozen=True)
class JudgedAnswer:
    """Shared by all who ask about the same answer, so nothing in it is ever changed."""

    answer: ReadAnswer
    judgements: tuple[Judgement, ...] = ()
    state: str = ""

    @property
    def question(self) -> Question:
        return self.answer.question

    @cached_property
    def judgements_told(self) -> list[dict[str, Any]]:
        return [judgement.to_dict() for judgement in self.judgements]

    @cached_property
    def readings_told(self) -> list[dict[str, Any]]:
        return [_reading(measured) for measured in self.answer.measured]

    @cached_property
    def rope_told(self) -> dict[str, Any] | None:
        return self.question.rope.to_dict() if self.question.rope else None

    @cached_property
    def observation_told(self) -> dict[str, Any] | None:
        observation = self.answer.observation
        return observation.to_dict() if observation is not None else None

    @cached_property
    def texts(self) -> dict[str, str]:
        """Its part of a record's body: the canonical text of each thing said, by name."""
        question, answer = self.question, self.answer
        told = {
            "check": question.check.slug,
            "question": question.check.question,
            "part": question.part_label,
            "given": answer.given,
            "text": answer.text,
            "reason": answer.reason,
            "readings": self.readings_told,
            "rope": self.rope_told,
            "observation": self.observation_told,
            "judgements": self.judgements_told,
            "state": self.state,
        }
        return {name: canonical(value) for name, value in told.items()}

    def write_down(self) -> None:
        """Write the texts while the answer is in hand, so that a submit has only to join them. What
        has no canonical text is refused there, where it can be said."""
        with suppress(UnicodeEncodeError, CanonicalizationError):
            self.texts  # noqa: B018


def _reading(measured: Measured) -> dict[str, Any]:
    return {
        "what": measured.what,
        "quantity": measured.quantity.stored(),
        "instrument": measured.instrument,
        "uncertainty": measured.uncertainty.stored() if measured.uncertainty else None,
    }
