"""What each way to sign means in law, in plain words. No legal advice.

Read for it: of Regulation (EU) 910/2014 article 3 and the lists of article 26 as public bodies print
them, and what lawyers' notes say of article 25 (an electronic signature is not refused only for being
electronic); 15 U.S.C. 7001(a)(1) as a law school's dictionary tells it. Articles 25(2) and 41(2) are
from memory, and say so where they stand.
"""

from __future__ import annotations

from typing import NamedTuple


class Level(NamedTuple):
    """`shows`: by itself, to a stranger; `law`: what it counts for."""

    name: str
    shows: str
    law: str


LEVELS = (
    Level(
        "Password",
        "Only this book says that the person typed it. Nothing is left that a stranger can verify.",
        "An electronic signature of the plainest kind. In the European Union (Regulation 910/2014, "
        "article 25) and the United States (15 U.S.C. 7001(a)(1)) it may not be refused only for being "
        "electronic; what it proves is for a court to weigh.",
    ),
    Level(
        "Passkey",
        "A device that holds the key confirmed exactly these bytes. Whose key it is, the book says.",
        "The same kind in law, with better evidence. It is not offered as an advanced signature: "
        "nobody outside the venue has checked who holds the key.",
    ),
    Level(
        "The venue's seal",
        "The file comes from this venue's installation and was not changed since. It names who "
        "signed in the book, and when by the venue's clock. The key is the venue's, not the person's.",
        "An electronic seal of the plainest kind, by a certificate that the venue made itself. It is "
        "neither an advanced nor a qualified seal or signature.",
    ),
    Level(
        "The seal with a time stamp",
        "Also that these bytes existed at that time, by the clock of an authority outside the venue.",
        "Worth what that authority is worth. Only a trust service on the Union's trusted list gives "
        "a qualified time stamp, whose time is presumed right (article 41(2), from memory).",
    ),
    Level(
        "A countersignature",
        "The same of one more named person. Its certificate carries the person's name, but the venue "
        "issued it and made the key, for that one signature; who it was, the book says.",
        "The same as the venue's seal: it was not made under the person's sole control, so it is no "
        "advanced signature (article 26).",
    ),
    Level(
        "What this is not",
        "A signature that stands for a handwritten one by itself, or the stamp of a licensed engineer.",
        "In the Union only a qualified signature does that (article 25(2), from memory): with a certificate from "
        "a provider on the trusted list and a certified device. Where law, code, insurer or contract "
        "asks for one, or for a handwritten signature or an engineer's stamp, sign the PDF or the "
        "paper that way too. Ask somebody licensed to advise on it; this page is no legal advice.",
    ),
)
