"""Where finished sentences are made, and what in those places is no sentence. Data only."""

from __future__ import annotations

# Modules whose texts are shown by `said`, as the phone check and the reports show them.
MODULES = tuple(
    f"{folder}/{name}.py"
    for folder, names in {
        "rigging/engine": "figures two_points wire_counts diameters bounds judging criteria reading_limits "
        "limit_sets limits_of_rules printed_tables losses severities combinations gone verdicts",
        "inspections": "answers answer_reading hours_worked rope_reading judging plausibility consequences "
        "signature_words phone_message attention",
        "inspections/reports": "words record_reading matter content rope_points law plots",
        "inspections/queries": "state signatures report_content checks tasks",
        "inspections/queries/report_kinds": "annual certification checks_done choices content returns "
        "rope_lives ropes thorough",
        "inspections/models": "check_file finding phone_signature plan record report sent",
        "inspections/views": "checks sync along signing",
        "venue": "quantities quantity_numbers page photographs voice_notes drawn_signatures",
        "venue/models": "person equipment",
    }.items()
    for name in names.split()
)
# Code and what programs compare: a script must keep these to the letter.
NO_WORDS = frozenset(
    {
        "GET", "TEXTAREA", "BUTTON", "SUMMARY", "X-CSRFToken", "SHA-256", "text/html; charset=utf-8",
        "{} or more", "more than {}", "{} or less", "less than {}", "pages of", "signed out", "Content-Type",
        "Phone-Clock", "button danger", "button main",
        "[data-shown-if][hidden], [data-ask-again][hidden]", "cannot be decided", "out of service",
        "not met", "does not apply", "switched off", "not judged", "button narrow", "plain voice-list",
        "section check-review attention", "section check-review", "section older", "key aside",
        '[data-question="{1}"] legend', "PublicKeyCredential", "NotAllowedError", "(pointer: coarse)",
        "input, select, textarea", "Enter", "POST", "PUT", "JPEG", "PNG", "WEBP", "RGB", "RGBA", "Content-Length",
        "DIMENSIONS", "UNITS", "Quantity", "UnreadableQuantity", "Person", "NotFoundError",
        "cut out", "a competent person decides", "shorten the interval", "see pages",
        "loftbook report 1", "Network", "Escape",
        "thead [data-day]", "tbody tr", "tbody td", "tbody a", "th a", "tbody th a", ".is-target, .is-left",
        "[data-board] tbody td", "input, textarea", "Home", "End", "UTC", "AbortError", "PushManager",
        "Notification", "not here", "not offered", "DOMContentLoaded", "Files", "main input[type=file]",
        "{1} is not a dimension; known are {2}.", "The stored {1} disagrees with its SI value.",
        "{1} cannot be converted to {2}.", "{1}: “{2}” is not one of {3}.", "conditions.{1}: is not a condition.",
        "the time {1} has no zone", "This is not a JSON object.", "This is not JSON.", "not settled",
        "This is not a check as a phone sends it: {1}.", "This is not an order as a phone sends it: {1}.",
        "<!doctype html>", "the store did not answer", "{1} UTC", "Person {1}", "{1}: {2} until {3}",
        'font-family="Report" font-size="7"', "NotoSans-Regular.ttf",
        "lb/sq ft", "lbf/sq ft", "lb/sq in", "kN m", "lbf ft", "ft lbf", "ft lb", "lb ft", "lbf in", "in lbf",
        "in lb", "lb in", "Mohm", "MOhm", "Ohm", "Hz", "Pa", "MPa", "sq mm", "sq m", "sq in", "sq ft",
        "mass per length",
        "line load", "% per ft", "obscuration per foot", "% per m", "obscuration per metre", "per cent",
        "decibels per metre", "short ton", "long ton", "us ton", "uk ton", "{1}", "nobody said",
        "[-+]?[0-9.,]+ ?[eE] ?[-+]?[0-9]",
        "([0-9]+) ?(?:'|ft\\.?|feet|foot) ?-? ?([0-9][0-9 .,/-]*?) ?(?:\\\"|in\\.?|inches|inch)",
    }
)  # fmt: skip
# Finer pieces of sentences that are joined of parts, and words that stand alone.
EXTRA = (
    "broken wires {1}", "in one strand {1}", "side by side in one strand {1}", "on the crowns {1}",
    "in the valleys between strands {1}", "at an end connection {1}", "not {1}", "by table, column {1}",
    "{1} % of the {2}", "{1}, limit {2}",
    "{1}, limit {2}, {3}", "not known: {1}", "{1}: {2} ({3}).", "{1} ({2}).", "{1} ({2})", "{1} or more",
    "more than {1}",
    "{1} or less", "less than {1}", "{1}; not known: {2}", "{1} more", "{1} less",
    "{1} below the limit", "{1} beyond the limit", "{1} short of the limit", "{1} above the limit",
    "{1} inside the limit", "one lay", "{1} lays", "one diameter", "{1} diameters", "{1} ({2} in one strand)",
    "valid until {1}", "{1}: thorough examination of {2}", "with no end date", "No reason is in the book",
    "Put off: {1}", "rule", "hook", "one rope", "It is the nearest to its limit.",
    "The last values of the others lie between {1} and {2}.", "The limit that is drawn is {1}, for {2}.",
    "The rope {1} went from {2} on {3} to {4} on {5}.", "1 piece", "{1} pieces", "1 check", "{1} checks",
    "{1}, {2} done",
    "{1} ropes", "printed", "worked example", "independent program", "own output", "any {1}", "any one lay",
    "Broken wires in {1}, {2} (the most in any one strand, in {3}: {4})", "in {1} lays", "Fit",
    "Watch", "Restrict", "yes", "no", "present", "place {1}", "at {1}",
    "limit {1}", "at most {1}", "Yes.", "No.",
    "Year plan {1} to {2}", "From {1} to {2}", "{1}, leaves nothing accessible",
    "{1} of {2} tasks need more people than are free in their half-day; one person is counted twice there. "
    "Find somebody beside them: {3}",
    *(f"{day} {half}" for day in ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
      for half in ("morning", "afternoon")),
    "No {1} in the register", "document", "manager", "competent", "stagehand", "examiner", "auditor",
    "Stage left", "Centre", "Stage right",
)  # fmt: skip
# Single words that scripts say; no script compares them.
SCRIPT_WORDS = ("below", "beyond", "above", "short of", "inside", "more", "less", " or ", " and ", "over", "point",
    "comma", "{1} found",
)  # fmt: skip
