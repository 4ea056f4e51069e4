"""Where a name stays after its person was forgotten, and why. Pure: data only.

A test forgets a person and then looks for the name in every column of every table: it may stand in
these and in no other. Free text is what people typed; nobody looks through it.
"""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple


class Stays(NamedTuple):
    """Columns of one table. `by`: the column that leads to the person, where their rows can be counted."""

    columns: tuple[str, ...]
    by: str
    what: str
    why: str


NAMES_STAY = MappingProxyType[str, Stays](
    {
        "inspections.Record": Stays(
            ("by_name", "by_competence", "body"), "by", "records of checks",
            "a record says who looked; its text is hashed in the log and stays whole until it is disposed of",
        ),
        "inspections.Report": Stays(
            ("signer_name", "signer_role", "record_json"), "signer", "signed reports",
            "a report names its signer, on the page, in the data and in the seal over both",
        ),
        "inspections.Countersignature": Stays(
            ("signer_name", "signer_role"), "signer", "countersignatures",
            "the report names whoever countersigned it",
        ),
        "inspections.ReturnToService": Stays(
            ("by_name", "by_competence"), "by", "returns to service", "somebody answers for each by name",
        ),
        "inspections.Sent": Stays(
            ("body",), "by", "checks as their phone sent them", "a signature may stand over the very bytes",
        ),
        "inspections.Judged": Stays(
            ("body",), "", "judgements with a figure they confirmed",
            "a judgement says who vouches for a figure that is known from memory only",
        ),
        "rigging.FigureConfirmed": Stays(
            ("name",), "confirmed_by", "figures they confirmed", "somebody answers for each by name",
        ),
        "rigging.CalculationKept": Stays(
            ("by_name",), "by", "calculations they kept", "a report may print it",
        ),
        "inspections.Job": Stays(
            ("asked",), "by", "orders for reports, plans and bundles",
            "what a report was printed from is kept with it",
        ),
        "venue.Competence": Stays(
            ("certificate", "issued_by"), "person", "certificates",
            "they show that whoever did it was competent that day",
        ),
        "venue.LogLine": Stays(
            ("by_name", "label", "body"), "", "lines of the log from before it held references",
            "their text is hashed: a changed line would break the log",
        ),
    }
)  # fmt: skip
FREE_TEXT = "What anybody typed into remarks, reasons, notes, captions and file names."
OUT_OF_REACH = (
    "Reports and bundles that were handed out or mailed: whoever has them keeps them as they are.",
    "Backups made before today: they still hold the name until they are thrown away.",
    "Photographs, drawn signatures and voice notes: what is seen or heard in them.",
)
