"""How wide words will be, near enough to break lines without a browser. Pure."""

from __future__ import annotations

NARROW, WIDE = set("fijlrt.,:;'|()! "), set("mwMWQO%@")


def text_width(words: str, letter: int, bold: bool = False) -> int:
    """Of the words, in the units of the size of their letters, rather too wide than too narrow.

    >>> text_width("iii", 10), text_width("MMM", 10), text_width("W3", 14)
    (11, 28, 22)
    """
    width = sum(_one(each) for each in words) * letter
    return int(width * (1.04 if bold else 1.0)) + 1


def _one(character: str) -> float:
    if character in NARROW:
        return 0.34
    if character in WIDE:
        return 0.92
    return 0.68 if character.isupper() else 0.62 if character.isdigit() else 0.54


def broken_lines(words: str, room: int, letter: int) -> tuple[str, ...]:
    """The words in lines no wider than the room, two at most; what has no place there is cut with
    three dots. The whole name is in what is read out.

    >>> broken_lines("Stage and forestage", 90, 14)
    ('Stage and', 'forestage')
    >>> broken_lines("Gridiron", 40, 14)
    ('Grid…',)
    """
    lines: list[str] = []
    for word in words.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(longer, letter, bold=True) <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    kept = lines[:2] if len(lines) <= 2 else [lines[0], f"{lines[1]} {lines[2]}"]
    return tuple(_cut(line, room, letter) for line in kept)


def _cut(line: str, room: int, letter: int) -> str:
    if text_width(line, letter, bold=True) <= room:
        return line
    while len(line) > 1 and text_width(line + "…", letter, bold=True) > room:
        line = line[:-1]
    return line.rstrip() + "…"
