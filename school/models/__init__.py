from school.models.audit import AuditEntry
from school.models.consent import Consent, ConsentKind, ConsentText
from school.models.daygrid import DayGrid
from school.models.enrolment import Enrolment
from school.models.jobs import LeasedJob
from school.models.ledger import LedgerEntry
from school.models.offers import Programme, School
from school.models.people import Account, Golfer, Handedness, Staff

__all__ = [
    "Account",
    "AuditEntry",
    "Consent",
    "ConsentKind",
    "ConsentText",
    "DayGrid",
    "Enrolment",
    "Golfer",
    "Handedness",
    "LeasedJob",
    "LedgerEntry",
    "Programme",
    "School",
    "Staff",
]
