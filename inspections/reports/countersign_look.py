"""What stands in the place of a countersignature: name, role, time, meaning, in a bundled font."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from pyhanko.pdf_utils import layout
from pyhanko.pdf_utils.font.opentype import GlyphAccumulatorFactory
from pyhanko.pdf_utils.text import TextBoxStyle
from pyhanko.stamp import TextStampStyle

from inspections.reports.printable import Covered, printable

FONT = "NotoSans-Regular.ttf"
SIZE, LINE, LONGEST = 8, 10, 115  # points, points, signs
LEFT = layout.SimpleBoxLayoutRule(
    x_align=layout.AxisAlignment.ALIGN_MIN, y_align=layout.AxisAlignment.ALIGN_MID,
    margins=layout.Margins(left=4, right=4, top=1, bottom=1),
)  # fmt: skip
CLOSE = layout.SimpleBoxLayoutRule(
    x_align=layout.AxisAlignment.ALIGN_MIN, y_align=layout.AxisAlignment.ALIGN_MID,
    margins=layout.Margins(0, 0, 0, 0),
)  # fmt: skip


def look_of(lines: Sequence[str], fonts: Path) -> TextStampStyle:
    """Longer lines are broken, never cut; more than the place holds is printed smaller."""
    covered = _covered(fonts / FONT)
    shown = [
        part
        for line in lines
        for part in textwrap.wrap(printable(" ".join(line.split()), covered), LONGEST)
    ]
    text = TextBoxStyle(
        font=GlyphAccumulatorFactory(str(fonts / FONT)), font_size=SIZE, leading=LINE,
        box_layout_rule=CLOSE,
    )  # fmt: skip
    # A percent sign would be taken for a value to fill in.
    said = "\n".join(shown).replace("%", "%%")
    return TextStampStyle(
        stamp_text=said, text_box_style=text, inner_content_layout=LEFT, border_width=0,
        background=None,
    )  # fmt: skip


@lru_cache(maxsize=2)
def _covered(path: Path) -> Covered:
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True) as font:
        return frozenset(font["cmap"].getBestCmap())
