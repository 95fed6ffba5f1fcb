from lessons.models.instructors import Hours, Instructor, Qualification
from lessons.models.places import Bay, Feature, Place, Walk
from lessons.models.squads import Squad, SquadMember, SquadWish
from lessons.models.stations import Phase, Station, Visit
from lessons.models.timetable import Hold, Plan, PlanEdit, Session
from lessons.models.troubles import Trouble

__all__ = [
    "Bay",
    "Feature",
    "Hold",
    "Hours",
    "Instructor",
    "Phase",
    "Place",
    "Plan",
    "PlanEdit",
    "Qualification",
    "Session",
    "Squad",
    "SquadMember",
    "SquadWish",
    "Station",
    "Trouble",
    "Visit",
    "Walk",
]
