from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _


class FileForm(forms.Form):
    """A photograph or a document of a thing in the register."""

    file = forms.FileField(
        label=_("Photograph or PDF"),
        help_text=_("At most 25 MB: JPEG, PNG, WebP, or a PDF."),
        allow_empty_file=True,  # the keeper of files says it in better words
        error_messages={"required": _("Choose a photograph or a PDF first.")},
        widget=forms.FileInput(
            attrs={"accept": "image/jpeg,image/png,image/webp,application/pdf", "class": "file"}
        ),
    )
    caption = forms.CharField(label=_("What it shows"), max_length=200, required=False)

    def sent(self) -> dict[str, Any]:
        return {"upload": self.cleaned_data["file"], "caption": self.cleaned_data["caption"]}
