"""Make a photograph safe to show: upright, scaled, without position or camera data. Pure."""

from __future__ import annotations

import io
import warnings
from dataclasses import dataclass

from PIL import Image, ImageOps, UnidentifiedImageError

FORMATS = ("JPEG", "PNG", "WEBP")
MAX_BYTES = 25_000_000
MAX_PIXELS = 60_000_000
LONGEST_SIDE = 1600


class NotAPhotograph(ValueError):
    """Says what was wrong and what to send instead."""


@dataclass(frozen=True)
class CleanPhotograph:
    content: bytes
    media_type: str
    original_media_type: str


def clean_photograph(content: bytes, name: str) -> CleanPhotograph:
    """A JPEG of at most 1600 px on the long side, turned upright, with all metadata dropped.

    Limits: JPEG, PNG or WebP of at most 25 MB and 60 megapixels. Raises NotAPhotograph.
    """
    if len(content) > MAX_BYTES:
        size = len(content) // 1_000_000
        raise NotAPhotograph(
            f"“{name}” is {size} MB; a photograph may have 25 MB. Take it again smaller."
        )
    image = _opened(content, name)
    original = Image.MIME[image.format or "JPEG"]
    upright = ImageOps.exif_transpose(image).convert("RGB")
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    out = io.BytesIO()
    upright.save(out, "JPEG", quality=85)
    return CleanPhotograph(out.getvalue(), "image/jpeg", original)


def _opened(content: bytes, name: str) -> Image.Image:
    wrong = NotAPhotograph(
        f"“{name}” is not a photograph this can read. Send a JPEG, PNG or WebP picture."
    )
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(io.BytesIO(content), formats=FORMATS)
            if image.width * image.height > MAX_PIXELS:
                raise NotAPhotograph(
                    f"“{name}” has too many pixels ({image.width} x {image.height})."
                )
            # verify() leaves the image unusable; load() finds a truncated file before it is kept.
            image.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            image.load()
    except NotAPhotograph:
        raise
    except (UnidentifiedImageError, OSError, ValueError, SyntaxError, Warning) as fault:
        raise wrong from fault
    except Image.DecompressionBombError as fault:
        raise wrong from fault
    return image
