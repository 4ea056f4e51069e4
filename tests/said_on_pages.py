"""Where finished sentences of the pages are made that are neither the check nor a report, and what in
those places is no sentence. Data only."""

from __future__ import annotations

from inspections.move_check import PAID_FOR
from venue.roles import MAY

# Modules whose texts are shown by `said`.
MODULES = tuple(
    f"{folder}/{name}.py"
    for folder, names in {
        "rigging": "first_choice",
        "rigging/models": "confirmation",
        "rigging/queries": "printed_tables confirmations",
        "rigging/views": "calculators confirmations every_rule rules",
        "inspections": "digest half_days set_up_steps late_reasons move_check held_half_days feed_words "
        "year_changes year_crews year_progress year_board year_budget planned_standing trend_chart rope_trend "
        "batten_loads retention names_stay regime_proposals authority_notice over_budget who_is_there",
        "inspections/papers": "content",
        "inspections/planning": "gains",
        "inspections/actions": "move_part publish_year_plan",
        "venue/actions": "fetch_calendars",
        "inspections/reports": "certificates",
        "inspections/queries": "agreed_tasks asked_jobs audit calendar_access calendar_doubts check_year_plan disposal "
        "disposal_of_things digests equipment handed_in house_shape last_year log_check moves_of_plan paper_content "
        "house_files notice_given planning_examiners planning_page planning_people planning_words records retention "
        "learned_too_long locks search search_kinds set_up task_feeds what_changed why_here year_changes year_plans",
        "inspections/models": "planning_settings year_plan desk_mail job audit_question message retention",
        "inspections/views": "audit_questions countersigning desk_links disposal equipment evidence "
        "findings forgetting heads kept message_choices parts planned planning proof push_devices report_kinds "
        "report_signing retention seals set_up set_up_choices task_feeds tasks year year_papers year_board",
        "venue": "forms_entry forms_equipment forms_parts forms_places roles access calendar_address kind_fields",
        "venue/calendar": "lengths",
        "venue/queries": "people spreadsheets log_names",
        "venue/register": "columns compare csv_text grid kind_words on_screen place_compare reading report "
        "row_reading row_values strange xlsx_cell xlsx_sheet",
        "venue/spreadsheet": "days encodings proposing ropes row_shapes rows sheets targets understanding values",
        "venue/views": "booking_rules bookings calendars equipment_forms first house invitations parts "
        "people places register spreadsheet",
        "venue/models": "venue booking calendar kept_file",
    }.items()
    for name in names.split()
)
# Files and folders of which only what is raised for a person is a sentence: why something is refused.
REFUSALS = (
    "venue/actions", "venue/calendar", "venue/file_store.py", "rigging/actions", "inspections/actions",
    "inspections/passkey_signatures.py", "inspections/sealed_text.py", "inspections/reports/render.py",
    "inspections/reports/seal.py", "inspections/reports/keys.py", "inspections/reports/time_stamps.py",
)  # fmt: skip
# Where lines of the log are written: what was done is kept as a code, add_person, and shown in words.
ACTIONS = ("venue/actions", "rigging/actions", "inspections/actions")
BEGINNINGS = frozenset(
    {
        "accept", "add", "answer", "apply", "ask", "cancel", "change", "choose", "confirm", "copy", "countersign",
        "defer", "dispose", "draw", "drop", "email", "end", "export", "follow", "forget", "generate", "give",
        "import", "issue", "keep", "lift", "lock", "make", "move", "note", "open", "place", "plan", "propose",
        "prepare", "publish", "record", "remove", "renew", "replace", "retire", "return", "revoke", "say", "set",
        "shorten", "sign", "stop", "submit", "undo", "unlock", "withdraw",
    }
)  # fmt: skip
# What the log tells by codes that are put together.
PUT_TOGETHER = (
    "ask for draft", "ask for report", "keep photograph", "keep voice", "keep drawn", "add equipment", "add part",
    "add place", "change equipment", "change part", "change place", "add equipment file", "add part file",
    "add remedy file", "create equipment by import",
)  # fmt: skip
NO_DEEDS = frozenset({"copy_of", "keep_estimate", "plan_id", "set_by_hand", "stop_words"})
# Columns of the register, forms of dates, headers of answers, and what programs compare.
NO_WORDS = frozenset(
    {
        "half-day (\\d+)", "PlannedPerson", "Show", "In", "Out", "Reh", "Use", "Part",
        "\\b(\\d+) quarter-hours of people are missing",
        "^half-day \\d+: (?P<one>.+) and (?P<two>.+) clash$",
        "^{1}: half-day \\d+ lacks |^examiner \\({2}\\) does not come on day {3}$|"
        "^{4}: too late to give notice of .* for day \\d+$",
        "get messages", "{1}: messages",
        "Cache-Control", "Referrer-Policy", "X-Robots-Tag", "HEAD", 'attachment; filename="{1}-root.pem"',
        "Content-Disposition", 'attachment; filename="{1}.crl"', 'inline; filename="tasks.ics"',
        'attachment; filename="{1}.{2}"', "text/csv; charset=utf-8",
        "calendar %s could not be fetched",
        "private, no-cache", "ETag", "X-Content-Type-Options", "text/calendar; charset=utf-8", "User-Agent",
        "Accept", "Accept-Encoding", "Loftbook (booking calendar)", "text/calendar, */*;q=0.1", "Location",
        "Loftbook", "WKST={1}", "BYDAY={1}", "UNTIL={1}", "FREQ is {1}", "AnyKind", "Cc", "Cf", "Co", "Cn", "UTC",
        "(General|[0#?.,/ ;()\\-_@*+Ee]|\\[[A-Za-z]+\\d*\\]|\\\\[ \\-()])*", "UTF-8",
        '(?:General|[#0?.,]+)(?:\\\\? )?"? ?([A-Za-z]{1,4})"?(?:;.*)?', "General",
        "(\\d{1,2})(?:st|nd|rd|th)?[ ./-]+(?:de )?([^\\W\\d_]{3,10})\\.?,?(?:[ /-]+| del? )(\\d{4}|\\d{2})",
        "([^\\W\\d_]{3,10})\\.? (\\d{1,2})(?:st|nd|rd|th)?,? (\\d{4})",
        "([^\\W\\d_]{3,10})\\.?(?:[ ./-]+| del? )(\\d{4})",
        "(\\d{1,6})(?:\\.0+)?(?: ?[A-Za-z]{1,10})?",
        "rated source:", "walking order", "made on", "place level", "place hazards", "place access",
        "part code", "installed on", "{1}installed on", "last done", "day installed", "place above",
        # Patterns that anything would meet; their parts are said one by one.
        "{1}: {2} and {3}", "{1}: {2} to {3}", "{1}, {2} to {3}", "{1} by {2}: {3}", "{1}: {2} a day",
        "{1} {2} from 0 m to {3}", "Row {1}: {2} {3} {4}", "{1}, {2}, lapsed on {3}", "{1}: no rule set {2}",
        "{1}, {2} half-days a week", "{1} confirms {2} {3}", "Planning of {1}", "Hold on {1}",
        "{1} disposed of", "Remedy: {1}",
        "Log lines were about to be written outside a transaction",
    }
)  # fmt: skip
# What is counted in sentences, one and several.
COUNTED = {
    "day": "days", "half-day": "half-days", "item-day": "item-days", "time": "times", "rule set": "rule sets",
    "person": "people", "record": "records", "thing": "things", "place": "places", "plan": "plans",
    "booking": "bookings", "task": "tasks", "visit": "visits", "finding": "findings", "order": "orders",
    "question": "questions", "rope": "ropes", "piece of equipment": "pieces of equipment", "part": "parts",
    "fault": "faults", "row": "rows",
}  # fmt: skip
# What a printed limit is measured against.
NOUNS = (
    "house imbalance", "intended load", "marked least", "marked most", "over travel allowed", "path length",
    "rated load", "rated moving load", "rated speed", "span", "test load", "alarm level",
)  # fmt: skip
# Columns of printed tables.
COLUMNS = tuple(
    f"{group}{lay} {length}"
    for group in ("", "light ", "heavy ")
    for lay in ("ordinary", "lang")
    for length in ("6d", "30d")
) + tuple(f"{strands} {length}" for strands in ("multi", "single") for length in ("6d", "30d"))
# Finer pieces of sentences that are joined of parts, and words that stand alone.
EXTRA = (
    *(f"1 {one}" for one in COUNTED), *(f"{{1}} {several}" for several in COUNTED.values()),
    "at least {1} and at most {2}", "{1} × the {2}", "retire {1}", "watch {1}", "out of service {1}",
    "{1}: retire {2} or more", "{1}: retire more than {2}", "{1}: watch {2} or more",
    "{1}: out of service {2} or more", "{1}: out of service less than {2}", "{1}: retire by its table",
    "every year", "every month", "every week", "every day", "every {1} years", "every {1} months",
    "every {1} weeks", "every {1} days", "None of these", "insurer", "nothing open", "morning", "afternoon",
    "1 day late", "{1} days late", "1 day to spare", "{1} days to spare",
    *PAID_FOR.values(), *sorted(deed for deed in MAY if deed != "see pages"),
    *(f"{each} {{1}}" for each in PAID_FOR.values()),
    "The law asks for it: they asked to be forgotten, and nothing demands their name",
    "Nothing they recorded must be kept any longer, by the rules the house follows",
    "1 thing in 1 place", "{1} things in 1 place", "{1} things in {2} places", "1 plan on 1 thing",
    "{1} plans on 1 thing", "{1} plans on {2} things", "{1} invited and not here yet", "Seal {1}", "seal {1}",
    "{1} (read in the document)", "{1} (quoted by others)", "valley", "termination",
    *(f"the {noun}" for noun in NOUNS),
    *(f"{short} (short)" for short in ("Show", "In", "Out", "Reh", "Use", "Dark", "Part", "Gap")),
    "from {1}", "from {1} to {2}", "above {1}", "above {1} to {2}", "empty", "Design factor of a rope",
    "Sheave and rope: D/d", "Wire rope clips", "this is needed.", "(no word for it)",
    "“” is none of installed, stored, gone.", "is none of the places of the house. Add the place first.",
    "Loftbook (by itself)", "The file has a fault.", "The file has {1} faults.", "Nothing was changed.",
    "The address of the round", "counts", "diameter loss", "loss", "three strands", "four strands",
    "eleven strands", *COLUMNS, "a person whose name was removed on {1}",
    *PUT_TOGETHER,
    "Quarter", "Month", "Week", "Year", "not present", *NOUNS, "lapsed on {1}",
    "today; {1}", "with {1}", "1 late", "{1} late", "1 coming", "{1} coming", "1 late and nobody's",
    "{1} late and nobody's", "1 to return", "{1} to return", "1 competence lapsing", "{1} competences lapsing",
    "The push service {1} did not take it.", "It answered {1}.", "It did not answer in time.",
    "It cannot be reached ({1}).", "Its certificate cannot be trusted.",
    "It leads into a network of the house, so it is not asked.",
    "The message could not be sent; the log of the server says why.",
    "lapses on {1}", "out of service from {1}", "restricted from {1}",
    # What no plan of a year may have, and what stands in the way of a task: days are put in afterwards.
    "{1} lacks {2}", "different people for all its parts", "examiner ({1}) does not come on {2}",
    "examiner ({1}): too much on {2}", "{1}: too late to give notice of {2} for {3}", "{1} and {2} clash",
    "{1} comes before {2}", "{1} quarter-hours of people are missing", "{1} hours of people are missing",
    "{1}: done twice on one day", "notice for {1}", "people ({1})", "the calendar ends",
)  # fmt: skip
