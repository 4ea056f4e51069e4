"""What a facilities manager has on the first day: a spreadsheet that grew, and the season's diary."""

from __future__ import annotations

import io
from datetime import date, datetime, timedelta
from typing import Any

import openpyxl

from tests.venue.calendar.files import calendar_file, event

SETS, HOISTS = 40, 6
REMARK = "* Set 17 was out for two weeks in spring, ask Tam about it before a load-in"
Rows = list[list[Any]]


def season_list(sets: int = SETS) -> bytes:
    """Three sheets: sets under a merged title, machines with other headings, and one that is no
    list of equipment at all."""
    book = openpyxl.Workbook()
    fly_floor = book.active
    fly_floor.title = "Fly floor"
    for row in _sets(sets):
        fly_floor.append(row)
    fly_floor.merge_cells("A1:J1")
    fly_floor["H5"].number_format = '0" kg"'
    machines = book.create_sheet("Machines")
    for row in _machines():
        machines.append(row)
    budget = book.create_sheet("Ideas 2027")
    budget.append(["Ask the trust about the paint frame", 18_000])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _sets(count: int) -> Rows:
    rows: Rows = [
        ["THE LARKSPUR: counterweight sets"], ["as of last season, ask Tam"], [],
        ["Set No.", "Type", "Use", "Location", "Bar length (m)", "Travel", "Lift lines", "SWL (kg)",
         "Wire rope dia", "Installed", "Paint colour"],
    ]  # fmt: skip
    uses = ("House border", "Tabs", "Electrics", "Spare", "Cloth")
    for number in range(1, count + 1):
        kind = "CW set" if number <= count * 7 // 10 else "Double purchase"
        rows.append([
            number, kind, f"{uses[number % 5]} {number}", "Stage house / Fly gallery", 14, "12.5 m", 6,
            350 if number != 1 else 350.0, "6 mm", date(1998, 4, 3) if number % 2 else "03/04/1998",
            "black" if number % 7 else "?",
        ])  # fmt: skip
    rows += [
        ["TOTAL", "", "", "", "", "", count * 6],
        [],
        ["* Set 17 was out for two weeks in spring, ask Tam about it before a load-in"],
    ]
    return rows


def _machines() -> Rows:
    rows: Rows = [
        ["Machines and the rest"],
        ["Asset", "What", "Where", "Serial No", "Capacity", "Lines", "Made", "Last inspection", "Remarks"],
        ["WINCHES"],
        ["W1", "Canopy winch", "Stage house / Gridiron", "LT-204", "1200 kg", 8, 2004, date(2025, 11, 3), ""],
        ["W2", "Drum winch", "Paint frame", "LT-311", "500 kg", 1, 2011, date(2026, 2, 3), "squeaks"],
        ["LIFTS"],
        ["L1", "Screw lift", "Stage house / Machine pit", "", "4500 kg", "", 1997, "n/a", "north"],
        ["L2", "Screw lift", "Stage house / Machine pit", "", "4500 kg", "", 1997, "n/a", "south"],
        ["HOISTS"],
    ]  # fmt: skip
    for number in range(1, HOISTS + 1):
        rows.append(["", "Chain hoist", "Stage house / Gridiron", f"CH-88{number}", "1000 kg", "",
                     2012, "", ""])  # fmt: skip
    rows += [
        ["", "Fire curtain", "Proscenium", "", "", "", 1997, "", "look at the fusible links"],
        ["G1", "Gridiron", "Stage house", "", "", "", "", "", ""],
        ["CA1", "Catwalk", "Auditorium", "", "", "", "", "", ""],
        ["P1", "Piano", "Store", "", "", "", "", "", "not ours"],
    ]  # fmt: skip
    return rows


def season_diary(today: date) -> bytes:
    """A run with its matinees, rehearsals, dark days, and two titles that no usual rule knows."""
    monday = today + timedelta(days=7 - today.weekday())

    def at(days: int, hour: int) -> str:
        day = datetime.combine(monday + timedelta(days=days), datetime.min.time())
        return f"{day.replace(hour=hour):%Y%m%dT%H%M%S}"

    return calendar_file(
        event(f"DTSTART:{at(3, 19)}", "DURATION:PT3H", "RRULE:FREQ=WEEKLY;INTERVAL=2;BYDAY=TH,FR,SA;COUNT=60",
              uid="run", title="The Salt Stair\\, performance"),
        event(f"DTSTART:{at(5, 14)}", "DURATION:PT3H", "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=20",
              uid="matinee", title="Matinee: The Salt Stair"),
        event(f"DTSTART:{at(8, 10)}", "DURATION:PT8H", "RRULE:FREQ=WEEKLY;INTERVAL=2;COUNT=20",
              uid="rehearsals", title="Rehearsal: Low Water"),
        event(f"DTSTART;VALUE=DATE:{at(0, 0)[:8]}", "RRULE:FREQ=WEEKLY;COUNT=50", uid="dark",
              title="Dark day"),
        event(f"DTSTART;VALUE=DATE:{at(20, 0)[:8]}", uid="ball", title="Harbour ball\\, members only"),
    )  # fmt: skip
