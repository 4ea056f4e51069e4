"""Drawn stand-ins for the photographs and papers of an invented house: it has no real ones."""

from __future__ import annotations

import io
from functools import cache

from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image, ImageDraw

WIDE, HIGH = 480, 360
STEEL, FLOOR, DARK, LIGHT = (122, 130, 138), (74, 70, 66), (38, 40, 44), (214, 216, 210)


def photograph(of: str) -> SimpleUploadedFile:
    """A small drawing, saying what it stands for."""
    return SimpleUploadedFile(f"{of.replace(' ', '-')}.jpg", _drawn(of), "image/jpeg")


@cache
def _drawn(of: str) -> bytes:
    image = Image.new("RGB", (WIDE, HIGH), FLOOR)
    draw = ImageDraw.Draw(image)
    shift = sum(of.encode()) % 90
    draw.rectangle((0, 0, WIDE, 90), fill=DARK)
    for beam in range(4):
        left = shift + beam * 130 - 60
        draw.rectangle((left, 0, left + 26, HIGH), fill=STEEL)
        draw.line((left + 70, 0, left + 70, HIGH), fill=LIGHT, width=3)
    centre = 140 + shift * 2
    draw.ellipse((centre - 70, 110, centre + 70, 250), outline=LIGHT, width=14, fill=DARK)
    draw.ellipse((centre - 12, 168, centre + 12, 192), fill=STEEL)
    draw.rectangle((0, HIGH - 40, WIDE, HIGH), fill=DARK)
    draw.text((14, HIGH - 28), f"Drawing in place of a photograph: {of}", fill=LIGHT)
    out = io.BytesIO()
    image.save(out, "JPEG", quality=80)
    return out.getvalue()
