from assessments.models.entries import Entry, Measure
from assessments.models.filming import (
    FilmingPlace,
    Joints,
    Marking,
    ReferenceStill,
    Study,
    StudyStill,
)
from assessments.models.reports import Report
from assessments.models.stills import ClubClass, ShotKind, Still

__all__ = [
    "ClubClass",
    "Entry",
    "FilmingPlace",
    "Joints",
    "Marking",
    "Measure",
    "ReferenceStill",
    "Report",
    "ShotKind",
    "Still",
    "Study",
    "StudyStill",
]
