"""Where a page finds its one script, its one style and what sets its look."""

from __future__ import annotations

from django import template

from venue.front_files import (
    desk_script_address,
    look_address,
    page_script_address,
    script_address,
    style_address,
)  # fmt: skip

register = template.Library()
register.simple_tag(script_address, name="script_address")
register.simple_tag(desk_script_address, name="desk_script_address")
register.simple_tag(page_script_address, name="page_script_address")
register.simple_tag(style_address, name="style_address")
register.simple_tag(look_address, name="look_address")
