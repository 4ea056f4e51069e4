from __future__ import annotations

import re
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

LARGEST = 256 << 20
KEPT = re.compile(r"(?:--kept\s+)?([0-9]{1,15})\s+([0-9a-f]{64})", re.IGNORECASE)


class EvidenceForm(forms.Form):
    """The file to check, and a head of the log that its reader kept from before."""

    file = forms.FileField(
        label=_("Report (PDF) or bundle (zip)"), max_length=255,
        help_text=_("Up to 256 MB. A larger bundle is checked by the commands in its README-VERIFY.txt."),
    )  # fmt: skip
    kept = forms.CharField(
        label=_("A head of the log that you kept"), required=False, max_length=200,
        help_text=_("Size and root from an earlier bundle or report, if you have one: 812 3f6a…"),
    )  # fmt: skip

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > LARGEST:
            raise forms.ValidationError(
                _("This file is larger than 256 MB. Check it by the commands in README-VERIFY.txt.")
            )
        return file

    def clean_kept(self) -> tuple[tuple[int, str], ...]:
        text = self.cleaned_data["kept"].strip()
        if not text:
            return ()
        found = KEPT.fullmatch(text)
        if not found:
            raise forms.ValidationError(
                _("Give the number of lines, a space, and the root: 64 letters and digits.")
            )
        return ((int(found[1]), found[2].lower()),)
