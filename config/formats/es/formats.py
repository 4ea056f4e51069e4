"""Cómo escriben los días las páginas en español: el mes con letras."""

DATE_FORMAT = "j M Y"
YEAR_MONTH_FORMAT = r"F \d\e Y"
MONTH_DAY_FORMAT = "j M"
DATETIME_FORMAT = "j M Y, H:i"
TIME_FORMAT = "H:i"
