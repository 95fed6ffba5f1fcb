"""What a drill may need and what may hurt, as codes and as they are written."""

from __future__ import annotations

EQUIPMENT = {
    "balls": "golf balls",
    "irons": "irons",
    "wedges": "wedges",
    "driver": "a driver",
    "putter": "a putter",
    "net": "a net",
    "range": "a practice range",
    "green": "a putting green",
    "short_game_green": "a green to chip to",
    "bunker": "a practice bunker",
    "sticks": "two alignment sticks",
    "tees": "tees",
    "towel": "a towel",
    "coins": "coins",
    "string": "a string line",
    "mirror": "a mirror",
    "foot_spray": "powder or foot spray",
    "camera": "a phone on a tripod",
    "course": "a golf course",
}

HURTS = {
    "back": "the back",
    "neck": "the neck",
    "shoulder": "a shoulder",
    "elbow": "an elbow",
    "wrist": "a wrist or hand",
    "hip": "a hip",
    "knee": "a knee",
    "ankle": "an ankle or foot",
    "balance": "balance",
}

# What week a plan is in, as its page and the report head it, and how it is meant.
WEEK_WORDS = {
    1: ("One drill at a time", "A day has one drill. Take your time, and count."),
    2: ("One drill at a time", "As in the first week; look whether the count goes up."),
    3: ("In turn", "Go from one drill to the next within a day, though it feels less tidy."),
    4: ("In turn", "Again in turn, beginning with what is newest."),
    5: ("Nearer to play", "A full routine before each ball, and no second try."),
    6: (
        "Measure again",
        "Do the first drills as in week 1 and compare the count. If you can, measure again "
        "the same way as at the school.",
    ),
}

CAUTIONS = (
    "Stop at pain. If it stays or comes back, see a licensed professional before you go on.",
    "Look around before each swing, and keep others out of reach.",
    "Children practise with an adult beside them.",
)
