"""The words a report uses for states, answers and cautions. One place, so that they agree."""

from __future__ import annotations

STATE = {
    "fit": "Fit",
    "watch": "Watch",
    "restrict": "Restrict",
    "cannot be decided": "Cannot be decided",
    "out of service": "Out of service",
    "retire": "Retire",
    "not judged": "Not judged",
    "": "Not judged",
}
RULE_VERDICT = {
    "met": "A criterion to act is met",
    "not met": "No criterion to act is met",
    "cannot be decided": "Cannot be decided",
}
LIMIT_VERDICT = {
    "met": "Limit not kept",
    "not met": "Limit kept",
    "cannot be decided": "Cannot be decided",
}
GIVEN = {
    "yes": "Yes",
    "no": "No",
    "value": "",
    "could_not_look": "Could not be looked at",
    "not_applicable": "Not applicable here",
}
ROPE_FACTS = {
    "nominal_diameter": "Nominal diameter",
    "construction": "Construction",
    "core": "Core",
    "lay_type": "Lay",
    "rotation_resistant": "Rotation resistant",
    "duty": "Duty",
    "minimum_breaking_force": "Minimum breaking force",
}
LOSSES = {
    "outer_wire_loss": "Outer wires worn away, part of their diameter",
    "strength_loss": "Loss of strength by non-destructive test",
}
ZONE = {
    "crown": "on the crowns",
    "valley": "in the valleys between strands",
    "termination": "at an end fitting",
}
UNKNOWN = "Not known"

# What a criterion asks for when it is met is not printed where it is not: "retire" beside a fit
# rope would be read as an order.
CALM_VERDICTS = (RULE_VERDICT["not met"], LIMIT_VERDICT["not met"])

CAUTIONS = (
    "This report is a decision aid for competent people. It does not replace their judgement.",
    "The manufacturer's instructions, local law and codes, and licensed or competent persons come "
    "before anything printed here.",
    "It tells what was seen on the day it names, at the places it names. What could not be looked "
    "at, and what could not be decided, is not a pass.",
    "When in doubt, take the equipment out of service.",
)

SIGNATURE_IS = (
    "The file carries a digital signature made by this venue's own seal at the moment of issue. "
    "It shows two things to anyone who holds the venue's root certificate: that the file comes from "
    "this venue's installation, and that not one byte of it was changed since."
)
SIGNATURE_IS_NOT = (
    "The certificate is issued by the venue itself. Nobody outside the house has checked whose it "
    "is, and it is neither an “advanced” nor a “qualified” electronic signature in the sense of any "
    "law. The time is the clock of the venue's server. Get the root certificate's fingerprint from "
    "the venue by another way than this file, and compare."
)

OWN_EXAMINATION = "I carried out this examination, and what is written here is what I found."
AGREES = "I have reviewed this report and agree with what it says."
COUNTER_MEANINGS = (
    AGREES,
    "I have read this report and take note of what it says.",
    "I was present at the examination and confirm what this report says.",
)
MEANINGS = (
    OWN_EXAMINATION,
    "I have reviewed these records and release them as the report of the examination.",
    "I was present at this examination and confirm what is written here.",
)


def state_words(state: str) -> str:
    """The word printed for a state; a state this edition does not know is printed as it is.

    >>> state_words("cannot be decided"), state_words("")
    ('Cannot be decided', 'Not judged')
    """
    return STATE.get(state, state)


def verdict_words(verdict: str, ruleset: str) -> str:
    """A verdict in words nobody can take the wrong way round: in the rule sets' own language a
    criterion that is "met" asks for action, so "met" alone is never printed.

    >>> verdict_words("met", "limit"), verdict_words("not met", "a_rule_set")
    ('Limit not kept', 'No criterion to act is met')
    """
    return (LIMIT_VERDICT if ruleset == "limit" else RULE_VERDICT).get(verdict, verdict)


def mark_name(state: str) -> str:
    """The state as the name of a mark in a style sheet.

    >>> mark_name("out of service")
    'out-of-service'
    """
    return (state or "not judged").replace(" ", "-")
