from __future__ import annotations

from typing import Any

from django import forms


class FileForm(forms.Form):
    """A photograph or a document of a thing in the register."""

    file = forms.FileField(
        label="Photograph or PDF",
        help_text="At most 25 MB: JPEG, PNG, WebP, or a PDF.",
        allow_empty_file=True,  # the keeper of files says it in better words
        error_messages={"required": "Choose a photograph or a PDF first."},
        widget=forms.FileInput(
            attrs={"accept": "image/jpeg,image/png,image/webp,application/pdf", "class": "file"}
        ),
    )
    caption = forms.CharField(label="What it shows", max_length=200, required=False)

    def sent(self) -> dict[str, Any]:
        return {"upload": self.cleaned_data["file"], "caption": self.cleaned_data["caption"]}
