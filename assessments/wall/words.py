"""What is said of a wall: above it, below each still, and on its sheets. Names only as agreed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from assessments.impact.words import unit_words
from assessments.queries.wall import Beside, Tile, Wall

LINES = (
    "Every still is turned level and scaled to one size of ball. Solid line: the lead forearm, "
    "carried down to the ground. Dashed line: the line of the grip. The ticks are one ball apart, "
    "from the back of the ball."
)
TIES = (
    "A place such as “2 to 4” is a tie: the values lie nearer each other than twice their "
    "uncertainty together, so which comes first cannot be told."
)
ONE_SWING = (
    "The ± is how sure one still is. How far the swings of one golfer differ is not in it, so this "
    "is an order of stills and not of golfers."
)
PAIRS = (
    "Beside each other are one golfer's intake and exit; of several stills, the one nearest to "
    "their mean. Whether a golfer has changed is said in the report, which counts how far swings "
    "differ."
)
REFERENCE = (
    "The reference set are stills of other schools, kept with their golfers' consent and without "
    "their names. A still lies below or above one of them only where that is certain."
)
SPECIALTY = "Specialty shots are each meant to differ, so they have no places."


@dataclass(frozen=True)
class Card:
    """A tile with its place and where it lies in the reference set, in words."""

    tile: Tile
    place: str
    standing: str


def cards_of(wall: Wall, tiles: Iterable[Tile]) -> list[Card]:
    return [Card(tile, place_of(tile, wall), standing_words(tile)) for tile in tiles]


def title_of(wall: Wall) -> str:
    """What hangs: `forearm-line offset, iron, exit`."""
    beside = {Beside.PAIRS: "intake beside exit", Beside.REFERENCE: f"{wall.phase} and reference"}
    return f"{wall.measure.heading}, {wall.club.club}, {beside.get(wall.beside, str(wall.phase))}"


def order_of(wall: Wall) -> str:
    """How it is sorted."""
    way = "highest to lowest" if wall.is_descending else "lowest to highest"
    by = f" at {wall.phase}" if wall.is_paired else ""
    return f"From {way} {wall.measure.title}{by}, in {unit_words(wall.measure.unit) or 'numbers'}."


def notes_of(wall: Wall, today: date) -> list[str]:
    """What a sheet says above its stills."""
    order = f"{today.day} {today:%B %Y}. {order_of(wall)}"
    return [order, *explanations(wall), LINES, *left_out(wall)]


def explanations(wall: Wall) -> list[str]:
    """What the order means, and what it does not."""
    said = [SPECIALTY] if wall.club.is_specialty else [ONE_SWING]
    if wall.has_ties:
        said.insert(0, TIES)
    if wall.is_paired:
        said.append(PAIRS)
    if wall.beside == Beside.REFERENCE:
        said.append(REFERENCE)
    return said


def left_out(wall: Wall) -> list[str]:
    """How many stills are not there, and why."""
    out, said = wall.left_out, []
    if out.stills_without_consent:
        golfers = _count(out.golfers_without_consent, "golfer")
        said.append(
            f"{_count(out.stills_without_consent, 'still')} of {golfers} not shown: "
            "nobody has agreed that they are shown in class."
        )
    if out.unmarked:
        said.append(f"{_count(len(out.unmarked), 'still')} not marked yet.")
    if wall.apart:
        said.append(f"{_count(len(wall.apart), 'still')} without a place, shown apart.")
    return said


def place_of(tile: Tile, wall: Wall) -> str:
    """`Place 2 to 4 of 12, tied`, `Reference`, `No place`; nothing for shots that have none."""
    if tile in wall.reference:
        return "Reference"
    if tile.rank is None:
        return "No place" if tile.doubts else ""
    tied = ", tied" if tile.rank.is_tied else ""
    return f"Place {tile.rank.words} of {len(wall.tiles)}{tied}"


def standing_words(tile: Tile) -> str:
    """Where the still lies in the reference set."""
    found = tile.standing
    if found is None:
        return ""
    parts = [(found.below, "above"), (found.tied, "tied with"), (found.above, "below")]
    return "Reference: " + ", ".join(f"{words} {count}" for count, words in parts if count)


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"
