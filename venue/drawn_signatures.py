"""Make a signature drawn with a finger safe to show: decoded and written anew. Pure."""

from __future__ import annotations

import io
import warnings

from PIL import Image, UnidentifiedImageError

from venue.photographs import CleanPhotograph

MAX_BYTES = 200_000
LARGEST = (1200, 600)


class NotADrawing(ValueError):
    """Says what was wrong."""


def clean_drawing(content: bytes) -> CleanPhotograph:
    """A grey JPEG on white, of a PNG of at most 200 kB and 1200 x 600 pixels. Raises NotADrawing."""
    if len(content) > MAX_BYTES:
        raise NotADrawing("A drawn signature may have 200 kB.")
    drawn = _opened(content).convert("RGBA")
    on_white = Image.new("RGBA", drawn.size, "white")
    on_white.alpha_composite(drawn)
    out = io.BytesIO()
    on_white.convert("L").save(out, "JPEG", quality=90)
    return CleanPhotograph(out.getvalue(), "image/jpeg", "image/png")


def _opened(content: bytes) -> Image.Image:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            image = Image.open(io.BytesIO(content), formats=("PNG",))
            if image.width > LARGEST[0] or image.height > LARGEST[1]:
                raise NotADrawing("A drawn signature has at most 1200 x 600 pixels.")
            image.load()
    except NotADrawing:
        raise
    except (
        UnidentifiedImageError, OSError, ValueError, SyntaxError, Warning,
        Image.DecompressionBombError,
    ) as fault:  # fmt: skip
        raise NotADrawing("This is not a drawn signature as a phone sends it.") from fault
    return image
