"""What a person says of a spreadsheet, read from the form of its page. Names of fields hold numbers of
sheets and columns, words of the file stand in hidden fields beside them."""

from __future__ import annotations

from collections.abc import Mapping

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from venue.kind_files import kinds
from venue.spreadsheet.days import DAY_FIRST, MONTH_FIRST
from venue.spreadsheet.encodings import ENCODINGS
from venue.spreadsheet.saying import OUT, Said, SaidOfSheet
from venue.spreadsheet.sheets import MAX_BYTES
from venue.spreadsheet.targets import targets
from venue.spreadsheet.understanding import ReadSheet, Understood

LONGEST = 200


class SpreadsheetForm(forms.Form):
    file = forms.FileField(
        label=_("Spreadsheet (.xlsx or .csv)"),
        help_text=_(
            "As it is: whatever its columns are called, with title rows, totals and several "
            "sheets. At most 5 MB. The next page shows how it is understood; nothing is changed yet."
        ),
        widget=forms.ClearableFileInput(attrs={"accept": ".xlsx,.csv,.txt,.tsv"}),
        allow_empty_file=True,  # the reader says it in better words
    )

    def clean_file(self) -> UploadedFile:
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > MAX_BYTES:
            raise forms.ValidationError(_("A spreadsheet may have 5 MB. Remove pictures from it."))
        return upload


def said_in(posted: Mapping[str, str], shown: Understood, before: Said) -> Said:
    """What was said with this form, of the file as it was shown. A word that is none of those offered
    says nothing."""
    sheets = {
        sheet.name: _of_sheet(posted, at, sheet, before) for at, sheet in enumerate(shown.sheets)
    }
    order = posted.get("order", before.order)
    encoding = posted.get("encoding", before.encoding)
    return Said(
        encoding=encoding if encoding in ENCODINGS else "",
        order=order if order in (DAY_FIRST, MONTH_FIRST) else "",
        place=" ".join(posted.get("place", before.place).split())[:LONGEST],
        sheets=sheets,
        kinds=dict(before.kinds) | _kinds(posted),
        common=dict(before.common) | _common(posted),
    )


def _of_sheet(posted: Mapping[str, str], at: int, sheet: ReadSheet, before: Said) -> SaidOfSheet:
    if f"sheet-{at}" not in posted:
        return before.of_sheet(sheet.name)
    columns = {
        place: said
        for place in range(len(sheet.columns))
        if (said := posted.get(f"column-{at}-{place}", "")) in targets()
        and said != sheet.columns[place].guess.target
    }
    heading = posted.get(f"heading-{at}", "")
    number = int(heading) if heading.isdecimal() and len(heading) < 6 else None
    same = number == sheet.table.heading_row and before.of_sheet(sheet.name).heading_row is None
    moved = number != sheet.table.heading_row
    return SaidOfSheet(
        out=posted.get(f"use-{at}") != "yes",
        heading_row=None if same else number,
        # Another row of headings has other columns: what was said of these holds no longer.
        columns={} if moved else columns,
    )


def _kinds(posted: Mapping[str, str]) -> dict[str, str]:
    known = {*kinds(), OUT, ""}
    return {
        posted[f"word-{name.removeprefix('kind-')}"][:LONGEST]: said
        for name, said in posted.items()
        if name.startswith("kind-") and said in known
        and f"word-{name.removeprefix('kind-')}" in posted
    }  # fmt: skip


def _common(posted: Mapping[str, str]) -> dict[str, str]:
    return {
        name.removeprefix("common-"): " ".join(text.split())[:LONGEST]
        for name, text in posted.items()
        if name.startswith("common-")
    }
