"""A small school as its file has it, and the plan that a desk made for it."""

from typing import Any

WHOLE_DAY = [[0, 0, 6]]


def activity(key: str, **changes: Any) -> dict[str, Any]:
    return {
        "id": key, "bay_kind": "mat", "needs": [], "handed": False, "skill": "coach", "slots": 1,
        "count": 1, "max_per_day": 1, "days": None, "prefer": None, "group": False, "ratio": 4,
        "bay_slots": 1,
    } | changes  # fmt: skip


def bay(key: str, **changes: Any) -> dict[str, Any]:
    return {
        "id": key, "place": "barn", "kinds": ["mat"], "attrs": ["left"], "covered": True,
        "lit": True, "squads": 1, "closed": [],
    } | changes  # fmt: skip


def instructor(key: str, **changes: Any) -> dict[str, Any]:
    return {
        "id": key, "skills": ["coach"], "available": WHOLE_DAY, "max_load": 6, "max_run": 3,
        "load_factor": 1,
    } | changes  # fmt: skip


def small_school(**changes: Any) -> dict[str, Any]:
    """One day, two squads of two, three visits one of which is for both squads together."""
    return {
        "format": "school-plan/1",
        "name": "small",
        "days": 1,
        "slots_per_day": 6,
        "lunch_after": 3,
        "slot_minutes": 60,
        "changeover": 10,
        "daylight": [[0, 5]],
        "rain": [[0, 1, 2]],
        "attendees": [
            {"id": "Ann", "hand": "R", "hcp": 200},
            {"id": "Ben", "hand": "L", "hcp": 81},
            {"id": "Cas", "hand": "R", "hcp": 140},
            {"id": "Dot", "hand": "R", "hcp": 333},
        ],
        "squads": [
            {"id": "red", "members": ["Ann", "Ben"]},
            {"id": "blue", "members": ["Cas", "Dot"]},
        ],
        "places": ["barn", "field"],
        "walk": [[0, 4], [5, 0]],
        "base": "barn",
        "bays": [
            bay("M1"),
            bay("M2", place="field", attrs=[], covered=False, lit=False, closed=[[0, 4, 5]]),
            bay("R", kinds=["room"], squads=2),
        ],
        "instructors": [instructor("Ida"), instructor("Jon", max_load=3, load_factor=2)],
        "lead": "Ida",
        "activities": [
            activity("swing", handed=True, prefer=[0, 1]),
            activity("again", handed=True),
            activity("talk", bay_kind="room", group=True, ratio=4),
        ],
        "rules": [{"rule": "after", "activity": "again", "needs": "swing", "count": 1}],
        "continuity": ["swing", "again"],
        "weights": {"walk": 1},
    } | changes


def session(squad: str, visit: str, slot: int, bay_key: str, *instructors: str) -> dict[str, Any]:
    return {
        "squad": squad, "activity": visit, "day": 0, "slot": slot, "bay": bay_key,
        "instructors": [*instructors],
    }  # fmt: skip


def small_plan() -> dict[str, Any]:
    return {
        "plan": [
            session("red", "swing", 0, "M1", "Ida"),
            session("blue", "swing", 0, "M2", "Jon"),
            session("red", "talk", 1, "R", "Ida"),
            session("blue", "talk", 1, "R", "Ida"),
            session("red", "again", 2, "M1", "Ida"),
            session("blue", "again", 2, "M2", "Jon"),
        ]
    }
