"""How English pages write days. The month in letters: nobody swaps day and month, on either side of
an ocean."""

DATE_FORMAT = "j M Y"
YEAR_MONTH_FORMAT = "F Y"
MONTH_DAY_FORMAT = "j M"
DATETIME_FORMAT = "j M Y, H:i"
TIME_FORMAT = "H:i"
