from school.models.audit import AuditEntry
from school.models.cashbook import BankLine, Checkout, DayClose, PayEntry
from school.models.consent import Consent, ConsentKind, ConsentText
from school.models.daygrid import DayGrid
from school.models.enrolment import Enrolment, EnrolmentDraft
from school.models.jobs import LeasedJob
from school.models.ledger import LedgerEntry
from school.models.messages import Message, MessageKind, MessageTemplate, SignInCode
from school.models.offers import (
    Programme,
    ProgrammeRefundStep,
    School,
    SchoolRefundStep,
)
from school.models.people import (
    Account,
    DistanceUnit,
    Golfer,
    Handedness,
    Language,
    SpeedUnit,
    Staff,
)
from school.models.terms import Paper

__all__ = [
    "Account",
    "AuditEntry",
    "BankLine",
    "Checkout",
    "Consent",
    "ConsentKind",
    "ConsentText",
    "DayClose",
    "DayGrid",
    "DistanceUnit",
    "Enrolment",
    "EnrolmentDraft",
    "Golfer",
    "Handedness",
    "Language",
    "LeasedJob",
    "LedgerEntry",
    "Message",
    "MessageKind",
    "MessageTemplate",
    "Paper",
    "PayEntry",
    "Programme",
    "ProgrammeRefundStep",
    "School",
    "SchoolRefundStep",
    "SignInCode",
    "SpeedUnit",
    "Staff",
]
