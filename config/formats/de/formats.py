"""Wie deutsche Seiten Tage schreiben: der Monat in Buchstaben."""

DATE_FORMAT = "j. M Y"
YEAR_MONTH_FORMAT = "F Y"
MONTH_DAY_FORMAT = "j. M"
DATETIME_FORMAT = "j. M Y, H:i"
TIME_FORMAT = "H:i"
