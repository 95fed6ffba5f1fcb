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
