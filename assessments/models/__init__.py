from assessments.models.entries import Entry, Measure
from assessments.models.filming import (
    FilmingPlace,
    Joints,
    Marking,
    ReferenceStill,
    Study,
    StudyStill,
)
from assessments.models.instruments import Instrument
from assessments.models.practice import Drill, DrillRule, PracticeItem, PracticePlan, Priority
from assessments.models.reports import Bundle, Preview, Report, ReportLink, Signature
from assessments.models.stills import ClubClass, ShotKind, Still

__all__ = [
    "Bundle",
    "ClubClass",
    "Drill",
    "DrillRule",
    "Entry",
    "FilmingPlace",
    "Instrument",
    "Joints",
    "Marking",
    "Measure",
    "PracticeItem",
    "PracticePlan",
    "Preview",
    "Priority",
    "ReferenceStill",
    "Report",
    "ReportLink",
    "ShotKind",
    "Signature",
    "Still",
    "Study",
    "StudyStill",
]
