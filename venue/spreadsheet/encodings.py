"""Text in an unknown encoding: the likeliest reading, and the others to choose from. Pure."""

from __future__ import annotations

# Name, and what a person knows it by. UTF-8 says of itself whether it is meant.
ENCODINGS = {
    "utf-8": "UTF-8",
    "cp1252": "Windows, Western Europe",
    "cp1250": "Windows, Central Europe",
    "mac_roman": "older Macintosh",
    "cp850": "DOS, Western Europe",
}
# Signs that people do type into a list of equipment.
USUAL = set("äöüßÄÖÜéèêëàâçîïôûùñóáíúåøæÉÈÅØÆœ°½¼¾²³±×µØø–—’‘“”•€£§") | set("ąćęłńśźżšžčřěůý")
MARKS = {b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16", b"\xef\xbb\xbf": "utf-8-sig"}


def decoded(content: bytes, wanted: str = "") -> tuple[str, str, bool]:
    """The text, the encoding it was read in, and whether that was guessed.

    >>> decoded("Größe".encode())[1:], decoded("Größe".encode("cp1252"))[1:]
    (('utf-8', False), ('cp1252', True))
    """
    for mark, encoding in MARKS.items():
        if content.startswith(mark):
            return content.decode(encoding, errors="replace"), encoding, False
    if wanted in ENCODINGS and wanted != "utf-8":
        return content.decode(wanted, errors="replace"), wanted, False
    try:
        return content.decode("utf-8"), "utf-8", False
    except UnicodeDecodeError:
        tried = [(content.decode(name, errors="replace"), name) for name in list(ENCODINGS)[1:]]
        text, name = max(tried, key=lambda one: _likeliness(one[0]))
        return text, name, True


def _likeliness(text: str) -> int:
    return sum(1 if sign in USUAL else -2 for sign in text if ord(sign) > 127)


def lines_in_doubt(text: str, most: int = 3) -> list[str]:
    """The first lines that hold a sign whose reading hangs on the encoding."""
    found = [line.strip()[:80] for line in text.splitlines() if any(ord(s) > 127 for s in line)]
    return found[:most]
