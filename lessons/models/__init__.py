from lessons.models.instructors import Hours, Instructor, Qualification
from lessons.models.places import Bay, Feature, Place, Walk
from lessons.models.squads import Squad, SquadMember
from lessons.models.stations import Phase, Station, Visit
from lessons.models.timetable import Hold, Plan, Session

__all__ = [
    "Bay",
    "Feature",
    "Hold",
    "Hours",
    "Instructor",
    "Phase",
    "Place",
    "Plan",
    "Qualification",
    "Session",
    "Squad",
    "SquadMember",
    "Station",
    "Visit",
    "Walk",
]
