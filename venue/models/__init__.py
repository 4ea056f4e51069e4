"""What the house has. One module per idea; import from here."""

from venue.models.booking import Booking
from venue.models.calendar import BookingRule, CalendarSource
from venue.models.equipment import Equipment, EquipmentFile, Part, RatedLoad
from venue.models.kept_file import KeptFile
from venue.models.kept_name import KeptName
from venue.models.log import LogCheck, LogHead, LogLine
from venue.models.part_file import PartFile
from venue.models.person import Competence, Membership, Person, Role
from venue.models.place import Place
from venue.models.set_up import ListedDay, SetUpCode, SetUpStep, Spreadsheet
from venue.models.venue import Organisation, Venue

__all__ = [
    "Booking",
    "BookingRule",
    "CalendarSource",
    "Competence",
    "Equipment",
    "EquipmentFile",
    "KeptFile",
    "KeptName",
    "ListedDay",
    "LogCheck",
    "LogHead",
    "LogLine",
    "Membership",
    "Organisation",
    "Part",
    "PartFile",
    "Person",
    "Place",
    "RatedLoad",
    "Role",
    "SetUpCode",
    "SetUpStep",
    "Spreadsheet",
    "Venue",
]
