"""The draft of a notice to the enforcing authority. The words are ours; the duty differs by country:
in Great Britain LOLER 1998 regulation 10(1)(c) puts it on the person making the examination."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from inspections.models import Finding


def notice_text(finding: Finding) -> str:
    equipment, venue = finding.equipment, finding.venue
    lines = [
        "DRAFT NOTICE: existing or imminent risk of serious personal injury",
        f"Premises: {venue.organisation.name}, {venue.name}, {venue.address or 'address not entered'}",
        f"Equipment: {equipment.tag} {equipment.name}, serial {equipment.serial or 'unknown'}",
        f"Found on: {finding.at.astimezone(venue.zone):%Y-%m-%d %H:%M} by {finding.by.name}",
        f"What: {finding.what}",
        finding.detail,
        "The equipment was taken out of service at once.",
        "This draft is sent by nobody. Whether, to whom and by when it must be sent is for local law "
        "and the person who made the examination to decide; it is prepared even if the risk was cured.",
    ]
    return "\n".join(line for line in lines if line)
