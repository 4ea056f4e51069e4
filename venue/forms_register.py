"""The form that takes a register file, and the signed slip that confirms what was shown."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from django import forms
from django.core import signing
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from venue.models import Person, Venue
from venue.register.grid import MAX_BYTES, too_large

SALT = "venue.register.agreed"
GOOD_FOR_SECONDS = 24 * 3600


class RegisterFileForm(forms.Form):
    file = forms.FileField(
        label=_("Register file (.csv or .xlsx)"),
        help_text=_("At most 25 MB. It is tried first; nothing is changed until you confirm."),
        widget=forms.ClearableFileInput(attrs={"accept": ".csv,.xlsx,.txt"}),
        allow_empty_file=True,  # the reader says it in better words
    )

    def clean_file(self) -> UploadedFile:
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > MAX_BYTES:
            raise forms.ValidationError(str(too_large(upload.size or 0)))
        return upload


@dataclass(frozen=True)
class Agreed:
    """Which file a person was shown the outcome of, and what that outcome was."""

    venue: int
    person: int
    sha256: str
    file_name: str
    digest: str


def to_agree_to(*, venue: Venue, person: Person, sha256: str, file_name: str, digest: str) -> str:
    return signing.dumps(asdict(Agreed(venue.pk, person.pk, sha256, file_name, digest)), salt=SALT)


def agreed_to(slip: str, *, venue: Venue, person: Person) -> Agreed | None:
    """The slip if it is whole, fresh, and of this person in this venue."""
    try:
        agreed = Agreed(**signing.loads(slip, salt=SALT, max_age=GOOD_FOR_SECONDS))
    except (signing.BadSignature, TypeError):
        return None
    return agreed if (agreed.venue, agreed.person) == (venue.pk, person.pk) else None
