"""The languages that can be chosen, each named in itself. Pure: data only.

Evidence has none: records, their hashes, the log, CSV files and record.json keep the words they were
written with. A language is how a page or a report shows them.
"""

from __future__ import annotations

ENGLISH = "en"
BRITISH = "en-gb"  # of a house on a British stage; nobody chooses it, the house does
LANGUAGES = (
    (ENGLISH, "English"),
    ("de", "Deutsch"),
    ("es", "Español"),
)
