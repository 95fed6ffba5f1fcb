from assessments.models.entries import Entry, Measure
from assessments.models.reports import Report
from assessments.models.stills import ClubClass, ShotKind, Still

__all__ = ["ClubClass", "Entry", "Measure", "Report", "ShotKind", "Still"]
