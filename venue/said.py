"""A finished English sentence, said in another language. Pure.

Verdicts, faults and the texts of rules are made, compared and kept as evidence in English, and old
records hold such sentences already. So nothing that judges knows of languages: what it said is put
into another language when it is shown, and only then. A sentence with figures in it is found by its
pattern, "at least {1}", and what stands in the places is said in that language too.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

PLACE = re.compile(r"\{(\d)\}")
MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September",
    "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def _or_cut_short(names: tuple[str, ...]) -> str:
    return "|".join((*names, *(name[:3] for name in names)))


DAY = re.compile(
    rf"\b(?:(?P<weekday>{_or_cut_short(WEEKDAYS)}) )?"
    rf"(?P<day>\d{{1,2}}) (?P<month>{_or_cut_short(MONTHS)})\b(?P<year> \d{{4}})?"
)
MONTH = re.compile(rf"\b({'|'.join(MONTHS)}) (\d{{4}})\b")
THOUSANDS = re.compile(r"(?<![\w.,])([1-9]\d{0,2}(?:,\d{3})+)(?:\.(\d+))?(?![\w,]|\.\d)")
ALONE = re.compile(r"[-−+]?\d+\.\d+")
FIGURE = re.compile(
    r"(?<![\w.])(\d+)\.(\d+)"
    r"(?=\s*(?:[%°×]|(?:[µmk]?m|in|ft|kgf?|lbf?|k?N|[kM]?Pa|kip|dB|s|min|h)[²³]?\b))"
)
# Longer texts are what people wrote: a pattern could only be met by chance.
LONGEST = 2000
DEEPEST = 8
MOST_KEPT = 4000
LONGEST_LIST = 8
SENTENCES = re.compile(r"(?<=[.!?])\s+(?=[A-Z“])|(?<=\?)\s+(?=\d)")
# A pattern with fewer letters of its own is met by chance in what people write.
FEW_LETTERS = 12
LETTER = re.compile(r"[A-Za-z]")
PROSE = re.compile(r"\b[a-z]{2,} [a-z]{2,}\b")
WORD = re.compile(r"[^\W\d_]{2,}")
UNITS = frozenset(
    ["mm", "µm", "cm", "km", "in", "ft", "kg", "lb", "lbf", "kN", "min", "deg", "and"]
)


@dataclass(frozen=True)
class Habits:
    """How a language writes figures, days and nouns within a sentence. `months`, `weekdays`: by their
    English names, whole and cut short."""

    point: str = "."
    months: Mapping[str, str] = field(default_factory=dict)
    after_day: str = ""
    before_year: str = " "
    weekdays: Mapping[str, str] = field(default_factory=dict)
    small_nouns: bool = True

    def write(self, text: str) -> str:
        """
        >>> german = Habits(",", {"March": "März"}, ".")
        >>> german.write("9.5 mm"), german.write("Gap 1,250 mm, seen on 3 March 2026")
        ('9,5 mm', 'Gap 1,250 mm, seen on 3. März 2026')
        >>> Habits(",", {"Nov": "Nov."}, ".", weekdays={"Thu": "Do"}).write("Thu 5 Nov 2026")
        'Do, 5. Nov. 2026'
        >>> german.write("£ 39,820.90 in March 2026")
        '£ 39820,90 in März 2026'
        """
        # Beside words that nobody here knows somebody typed the figures, by the habits of another
        # language perhaps: 1.250 kg.
        if self.point != "." and not self._has_words(text):
            text = THOUSANDS.sub(self._without_marks, text)
            text = FIGURE.sub(lambda figure: f"{figure[1]}{self.point}{figure[2]}", text)
        return MONTH.sub(self._month, DAY.sub(self._day, text)) if self.months else text

    @staticmethod
    def _has_words(text: str) -> bool:
        names = {name for long in (*MONTHS, *WEEKDAYS) for name in (long, long[:3])}
        return any(word not in UNITS and word not in names for word in WORD.findall(text))

    def alone(self, text: str) -> str:
        """A figure that is all of a text, such as a place of a sentence, has no unit to be known by.

        >>> Habits(",").alone("−6.65"), Habits(",").alone("16.00 or more"), Habits().alone("6.65")
        ('−6,65', '16.00 or more', '6.65')
        """
        return text.replace(".", self.point) if ALONE.fullmatch(text) else text

    def _without_marks(self, figure: re.Match[str]) -> str:
        """No mark between thousands: where a comma is the point, it would be read as one."""
        whole = figure[1].replace(",", "")
        return f"{whole}{self.point}{figure[2]}" if figure[2] else whole

    def _month(self, found: re.Match[str]) -> str:
        return f"{self.months.get(found[1], found[1])}{self.before_year}{found[2]}"

    def _day(self, found: re.Match[str]) -> str:
        english = found["weekday"]
        weekday = f"{self.weekdays.get(english, english)}, " if english else ""
        month = self.months.get(found["month"], found["month"])
        joined = found["month"] in MONTHS  # " de", which a month that is cut short has not
        after_day = self.after_day if joined or not self.after_day.startswith(" ") else ""
        before_year = self.before_year if joined else " "
        year = f"{before_year}{found['year'].strip()}" if found["year"] else ""
        return f"{weekday}{found['day']}{after_day} {month}{year}"


ENGLISH_HABITS = Habits()


class Sentences:
    """What is said in one language. `known` gives the words, with and without places; `exact` asks
    for a whole text elsewhere, and gives it back where it has none."""

    def __init__(
        self,
        known: Mapping[str, str],
        exact: Callable[[str], str] = str,
        habits: Habits = ENGLISH_HABITS,
    ) -> None:
        self.known = {text: told for text, told in known.items() if told}
        self.exact = exact
        self.habits = habits
        self.kept: dict[str, str] = {}
        with_places = (text for text in self.known if PLACE.search(text))
        # The one with the most words of its own first: it says most about what was meant.
        ordered = sorted(with_places, key=lambda text: -len(PLACE.sub("", text)))
        self.patterns = [
            (
                _pattern(text),
                self.known[text],
                SENTENCES.search(PLACE.sub("A", text)) is not None,  # a place may be a sentence
                len(LETTER.findall(PLACE.sub("", text))) < FEW_LETTERS,
            )
            for text in ordered
        ]

    def say(self, text: str, depth: int = 0) -> str:
        """The text in this language; what is not known stays as it is.

        >>> known = {"at least {1}": "mindestens {1}", " or ": " oder ", "rust": "Rost"}
        >>> words = Sentences(known, habits=Habits(","))
        >>> words.say("at least 1.5 mm"), words.say("rust or a kink"), words.say("  rust ")
        ('mindestens 1,5 mm', 'Rost oder a kink', '  Rost ')
        >>> Sentences({"Refused. {1}.": "Verweigert. {1}.", "No key": "Kein Schlüssel"}).say("Refused. No key.")
        'Verweigert. Kein Schlüssel.'
        """
        plain = text.strip()
        if not plain or len(text) > LONGEST or depth > DEEPEST:
            return text
        # Several threads share what is kept, so it is asked for once only. What was said deep
        # inside another text may have been cut short, and is not kept.
        told = self.kept.get(plain)
        if told is None:
            told = self._say_plain(plain, depth)
            if len(self.kept) >= MOST_KEPT:
                self.kept.clear()
            if depth == 0:
                self.kept[plain] = told
        return text.replace(plain, told, 1)

    def say_typed(self, text: str) -> str:
        """What somebody typed stays as it was typed, figures and all, unless it is a sentence of ours.

        >>> Sentences({"max. {1}": "höchstens {1}", "Slowly.": "Langsam."}).say_typed("Slowly.")
        'Langsam.'
        >>> Sentences({}, habits=Habits(",")).say_typed("1.250 kg")
        '1.250 kg'
        """
        plain = text.strip()
        return self._word(plain) or self._raised(plain) or text

    def say_part(self, label: str, depth: int = 0) -> str:
        """A part by its code and what it is. The code is the house's own word and stays.

        >>> Sentences({"Rope": "Seil", "line 3": "Zeile 3"}).say_part("line 3, Rope")
        'line 3, Seil'
        """
        code, comma, what = label.rpartition(", ")
        return f"{code}{comma}{self.say(what, depth)}"

    def _say_plain(self, plain: str, depth: int) -> str:
        told = self._whole(plain, depth)
        told = self._parts(plain, depth) if told is None else told
        return plain if depth == 0 and self._is_typed(plain, told) else told

    def _is_typed(self, plain: str, told: str) -> bool:
        """Prose in which nothing but figures and days would change: somebody typed it.

        >>> words = Sentences({"at least {1}": "mindestens {1}"}, habits=Habits(","))
        >>> words.say("Gap of 1.5 mm at the weld"), words.say("1.5 mm"), words.say("at least 1.5 mm")
        ('Gap of 1.5 mm at the weld', '1,5 mm', 'mindestens 1,5 mm')
        """
        return PROSE.search(plain) is not None and told == self.habits.write(plain)

    def _whole(self, plain: str, depth: int) -> str | None:
        """None where neither the text nor a pattern is known. Two sentences are no one pattern,
        unless it has two of its own."""
        if told := self._word(plain) or self._raised(plain) or self._in_brackets(plain, depth):
            return told
        if told := self._behind_a_name(plain, depth):
            return told
        of_many = SENTENCES.search(plain) is not None
        for pattern, words, has_many, loose in self.patterns:
            found = pattern.fullmatch(plain) if has_many >= of_many else None
            if found and not (loose and self._by_chance(found, depth)):
                return self._filled(words, found, depth)
        return None

    def _by_chance(self, found: re.Match[str], depth: int) -> bool:
        """Prose stands in a place and nothing of it is known: what somebody typed, which half a
        translation would spoil.

        >>> words = Sentences({"{1} or {2}": "{1} oder {2}", "Rope {1}": "Seil {1}"})
        >>> words.say("Bent or cracked at the weld"), words.say("Rope R-118 line 3")
        ('Bent or cracked at the weld', 'Seil R-118 line 3')
        """
        places = [text.strip() for text in found.groups()]
        known = (text[:1].isdigit() or self.say(text, depth + 1) != text for text in places)
        return any(PROSE.search(text) for text in places) and not any(known)

    def _behind_a_name(self, plain: str, depth: int) -> str:
        """A question behind the part it is asked of; both may hold a colon and a joining word.

        >>> known = {"Is it free: not painted or tied?": "Ist es frei?", "{1} or {2}": "{1} oder {2}"}
        >>> Sentences(known).say("link 2, above: Is it free: not painted or tied?")
        'link 2, above: Ist es frei?'
        """
        at = plain.find(": ")
        while at >= 0:
            if told := self._word(plain[at + 2 :]):
                before, colon, label = plain[:at].rpartition(": ")
                named = f"{self.say(before, depth + 1)}{colon}" if colon else ""
                return f"{named}{self.say_part(label, depth + 1)}: {told}"
            at = plain.find(": ", at + 2)
        return ""

    def _word(self, plain: str) -> str:
        if plain in self.known:
            return self.known[plain]
        told = self.exact(plain)
        return told if told != plain else ""

    def _raised(self, plain: str) -> str:
        """A known text whose first letter was raised at the head of a line, or lowered within one.

        >>> Sentences({"core pushing out": "austretende Einlage"}).say("Core pushing out")
        'Austretende Einlage'
        >>> Sentences({"Days": "Días"}).say("days")
        'días'
        >>> Sentences({"Days": "Tage"}, habits=Habits(small_nouns=False)).say("days")
        'Tage'
        >>> Sentences({"loose": "lose"}).say("worn; ; loose")
        'worn; ; lose'
        """
        if not plain:  # what stood between two commas
            return ""
        if told := self._word(plain[0].lower() + plain[1:]):
            return told[:1].upper() + told[1:]
        told = self._word(plain[0].upper() + plain[1:])
        lowered = self.habits.small_nouns and told[1:2].islower()
        return told[:1].lower() + told[1:] if lowered else told

    def _in_brackets(self, plain: str, depth: int) -> str:
        """A known text with something in brackets behind it."""
        head, bracket, more = plain.partition(" (")
        told = self._word(head) if bracket and more.endswith(")") else ""
        return f"{told} ({self.say(more[:-1], depth + 1)})" if told else ""

    def _filled(self, words: str, found: re.Match[str], depth: int) -> str:
        """
        >>> Sentences({"ratio {1} of all": "{1} von allen"}, habits=Habits(",")).say("ratio 274.748 of all")
        '274,748 von allen'
        """

        def inside(place: re.Match[str]) -> str:
            text = found[f"p{place[1]}"]
            # Written once: a comma that was put for the point would be read as a mark of thousands.
            alone = self.habits.alone(text)
            return alone if alone != text else self.say(text, depth + 1)

        return PLACE.sub(inside, words)

    def _parts(self, plain: str, depth: int) -> str:
        """Several sentences or parts in one text, each by itself; else only its figures and days."""
        parts = SENTENCES.split(plain)
        if len(parts) > 1:
            return self._sentences(parts, depth)
        for joint in ("; ", ": ", " or ", ", "):
            parts = plain.split(joint)
            if len(parts) > 1:
                return self._listed(parts, joint, depth)
        return self.habits.write(plain)

    def _sentences(self, parts: list[str], depth: int) -> str:
        """Each by itself, but a known text of several, such as a question, as a whole.

        >>> known = {"Pull it. Does it hold?": "Ziehen. Hält es?", "No.": "Nein."}
        >>> Sentences(known).say("line 3: Pull it. Does it hold? No.")
        'line 3: Ziehen. Hält es? Nein.'
        """
        told: list[str] = []
        while parts:
            for end in range(min(len(parts), LONGEST_LIST), 1, -1):
                whole = " ".join(parts[:end])
                if words := self._word(whole) or self._behind_a_name(whole, depth):
                    break
            else:
                end, words = 1, self.say(parts[0], depth + 1)
            told.append(words)
            parts = parts[end:]
        return " ".join(told)

    def _listed(self, parts: list[str], joint: str, depth: int) -> str:
        """What is known may hold the joint itself, so the longest known beginning comes first. Where
        nothing is known, somebody typed it and the joint stays too."""
        told, plain = list[str](), joint.join(parts)
        while parts:
            number, words = self._beginning(parts, joint, depth)
            told.append(words)
            parts = parts[number:]
        known = joint.join(told) != plain
        return self.known.get(joint, joint).join(told) if known else plain

    def _beginning(self, parts: list[str], joint: str, depth: int) -> tuple[int, str]:
        """How many of the parts are said together, and how: a whole text that is known, else the
        first part by its pattern, else several by one."""
        most = min(len(parts), LONGEST_LIST)
        for end in range(most, 0, -1):
            if words := self._word(joint.join(parts[:end])):
                return end, words
        for end in range(1, most + 1) if depth < DEEPEST else ():
            found = self._whole(joint.join(parts[:end]), depth + 1)
            if found is not None:
                return end, found
        return 1, self.say(parts[0], depth + 1)


def _pattern(text: str) -> re.Pattern[str]:
    """
    >>> _pattern("{1} or more").fullmatch("6 or more")["p1"]
    '6'
    """
    made, at = "", 0
    for place in PLACE.finditer(text):
        made += re.escape(text[at : place.start()]) + f"(?P<p{place[1]}>.+?)"
        at = place.end()
    return re.compile(made + re.escape(text[at:]), re.DOTALL)
