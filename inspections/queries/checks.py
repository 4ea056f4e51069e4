"""A draft as it stands: every question with what was typed, understood, judged."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any

from inspections.along import Along, spoken_for
from inspections.answer_reading import read_answer
from inspections.answers import Question, ReadAnswer
from inspections.consequences import STATES
from inspections.hours_worked import NotHours, Worked, read_worked
from inspections.judged_answer import JudgedAnswer
from inspections.judging import judge_answer, state_of_answer
from inspections.models import Draft, DraftPhoto
from inspections.queries.along import along_of_draft
from inspections.queries.questions import questions_for, regime_of
from inspections.regime_shapes import Regime
from rigging.engine import Judgement, RuleSet
from rigging.queries.ropes import rulesets_in_force

Say = Callable[[str], str]


@dataclass
class Asked:
    """A question with its answer so far."""

    question: Question
    typed: dict[str, str]
    outcome: JudgedAnswer | None
    photos: list[DraftPhoto] = field(default_factory=list)
    announced: list[str] = field(default_factory=list)  # by a phone, which sends it after the check
    photo_excused: bool = False
    voice_notes: list[str] = field(default_factory=list)

    @property
    def judged(self) -> JudgedAnswer:
        """The outcome of a question that is answered; a submitted check has no other."""
        if self.outcome is None:
            raise ValueError(f"{self.question.key} has no answer")
        return self.outcome

    @property
    def read(self) -> ReadAnswer:
        return self.judged.answer

    @property
    def answer(self) -> ReadAnswer | None:
        return self.outcome.answer if self.outcome else None

    @property
    def judgements(self) -> Sequence[Judgement]:
        return self.outcome.judgements if self.outcome else ()

    @property
    def state(self) -> str:
        return self.outcome.state if self.outcome else ""

    @property
    def complete(self) -> bool:
        return bool(self.answer and self.answer.complete and not self.photo_missing)

    @property
    def photo_missing(self) -> bool:
        looked = self.answer is not None and self.answer.given not in (
            "could_not_look",
            "not_applicable",
        )
        needs = self.question.check.photo == "required" or self.question.check.answer == "photo"
        return looked and needs and not (self.photos or self.announced or self.photo_excused)

    @property
    def photograph_hashes(self) -> list[str]:
        """Of the photographs that are here and of those a phone sends after the check."""
        here = [photo.kept_file.sha256 for photo in self.photos]
        return list(dict.fromkeys([*here, *self.announced]))

    def spoken(self, faults: Sequence[str] = (), say: Say = str) -> dict[str, Any]:
        """The verdict for the phone: a state, words, and what is still wrong by field."""
        wrong = dict(self.answer.faults) | dict(self.answer.asked_again) if self.answer else {}
        if faults:
            wrong["photo"] = " ".join(faults)
        elif self.photo_missing:
            wrong["photo"] = "Take a photograph; this question needs one."
        words = say(" ".join(wrong.values())) if wrong else self.words_said(say)
        return {
            "state": "" if wrong else self.state,
            "words": words,
            "faults": {name: say(fault) for name, fault in wrong.items()},
            "asked_again": {name: say(wrong[name]) for name in self._asked_again},
            "complete": self.complete,
            "before": say(self.change),
        }

    @property
    def _asked_again(self) -> Sequence[str]:
        return list(self.answer.asked_again) if self.answer else []

    @property
    def change(self) -> str:
        """How a measured value differs from the time before, once it is given."""
        before = self.question.before
        if before is None or not (self.complete and self.answer and self.answer.measured):
            return ""
        return before.change_to(self.answer.measured[0].quantity)

    @property
    def words(self) -> str:
        return self.words_said()

    def words_said(self, say: Say = str) -> str:
        """The judgement in words, the worst first, with clause and margin."""
        if self.judgements:
            ranked = sorted(self.judgements, key=lambda one: -STATES.index(one.state))
            return " ".join(judgement_words(one, say) for one in ranked)
        return say(STATE_WORDS.get(self.state, ""))


STATE_WORDS = {
    "fit": "In order.",
    "watch": "Noted: this will be watched.",
    "restrict": "Not in order: a finding will be opened.",
    "out of service": "Not in order: this takes it out of service.",
    "cannot be decided": "Not known. This does not count as a pass.",
    "not judged": "Kept.",
}


def judgement_words(judgement: Judgement, say: Say = str) -> str:
    """A figure that decided is told also where others are missing. `say` puts each part into the
    language of a page; what is kept is said as it is."""
    figures = f"{judgement.value}, limit {judgement.limit}" if judgement.value else ""
    if figures and judgement.margin:
        figures += f", {judgement.margin}"
    unknown = ", ".join(say(each) for each in judgement.missing)
    missing = f"{say('not known')}: {unknown}" if unknown else ""
    why = "; ".join(part for part in (say(figures), missing) if part)
    state = say(judgement.state[:1].upper() + judgement.state[1:])
    source = ", ".join(say(each) for each in (judgement.title, judgement.clause) if each)
    return f"{state}{': ' if why else ''}{why} ({source})."


@dataclass
class Sheet:
    """The whole check of one draft."""

    draft: Draft
    regime: Regime
    asked: list[Asked]
    along: list[Along] = field(default_factory=list)

    @property
    def worked(self) -> Worked | None:
        """What can be read of the hours worked; whoever takes them in says what cannot."""
        with suppress(NotHours):
            return read_worked(self.draft.worked)
        return None

    @property
    def open_count(self) -> int:
        return sum(not asked.complete for asked in self.asked)


def sheet_of(draft: Draft, day: date) -> Sheet:
    """Read and judge everything typed so far by the rule sets in force on that day."""
    regime = regime_of(draft.version)
    rulesets = rulesets_in_force(draft.equipment.venue, day)
    photos: dict[str, list[DraftPhoto]] = {}
    for photo in DraftPhoto.objects.filter(draft=draft.pk).select_related("kept_file"):
        photos.setdefault(photo.question, []).append(photo)
    asked = [
        ask(question, draft.answers.get(question.key, {}), rulesets, photos.get(question.key, []))
        for question in questions_for(draft.equipment, regime)
    ]
    along, phone = along_of_draft(draft), draft.phone
    sent = list(zip(phone.get("photographs", []), phone.get("photographs_sent", []), strict=False))
    # A bad answer that has arrived counts without the photograph it should have had.
    excused = phone.get("photographs_missing", [])
    for each in asked:
        each.announced = [sha256 for question, sha256 in sent if question == each.question.key]
        each.photo_excused = each.question.key in excused
        each.voice_notes = spoken_for(along, each.question.key)
    return Sheet(draft, regime, asked, along)


def ask(
    question: Question, typed: dict[str, str], rulesets: Sequence[RuleSet], photos: list[DraftPhoto]
) -> Asked:
    if not typed:
        return Asked(question, {}, None, photos=photos)
    told = tuple(sorted((name, value) for name, value in typed.items() if name != "at"))
    hashes = tuple((rules.slug, rules.hash) for rules in rulesets)
    outcome = _judged(Case(question, told, hashes, tuple(rulesets)))
    return Asked(question, typed, outcome, photos)


@dataclass(frozen=True)
class Case:
    """All that an answer and its judgements follow from."""

    question: Question
    typed: tuple[tuple[str, str], ...]
    hashes: tuple[tuple[str, str], ...]
    rulesets: tuple[RuleSet, ...] = field(hash=False)  # compared whole: a hash alone is a claim


# The same answer is asked about again and again on its way: when given, on the page, at the
# review, at the submit. Reading and judging are pure, so the same case has the same outcome.
@lru_cache(maxsize=512)
def _judged(case: Case) -> JudgedAnswer:
    answer = read_answer(case.question, dict(case.typed))
    if not answer.complete:
        return JudgedAnswer(answer)
    judgements = tuple(judge_answer(answer, case.rulesets))
    outcome = JudgedAnswer(answer, judgements, state_of_answer(answer, judgements))
    outcome.write_down()
    return outcome
