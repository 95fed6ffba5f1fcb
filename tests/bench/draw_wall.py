"""How long the wall takes to draw: `python -m tests.bench.draw_wall [STILLS]`.

Works on a house of its own in a temporary folder. Seconds are those of the processor, with the
first of a process apart: it reads fonts and starts the PDF library.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from datetime import date

from tests.bench.own_house import own_house


def main(stills: int) -> None:
    with own_house():
        measure(stills)


def measure(stills: int) -> None:
    from assessments.pictures import as_jpeg
    from assessments.queries.findings import Group
    from assessments.queries.wall import PRIMARY, entries_of, wall
    from assessments.wall.files import tile_of, whole_still
    from assessments.wall.prints import sheet_pdf, sheet_png
    from assessments.wall.tiles import LARGE_BALL_PX, SCREEN_BALL_PX
    from lessons.models import Phase
    from tests.assessments.wall.scene import NAMES, SHOWN, attendee, hang
    from tests.factories import SchoolFactory

    school = SchoolFactory.create(capacity=stills)
    renderings = list(NAMES.values())
    for number in range(stills):
        hang(attendee(school, f"Golfer {number}", SHOWN), renderings[number % len(renderings)])
    iron = Group("impact", False, "iron")
    shown = wall(school, measure=PRIMARY, club=iron, phase=Phase.EXIT)
    entry = entries_of(shown.tiles)[shown.tiles[0].entry]
    still = entry.still
    assert still is not None
    today = date.today()  # noqa: DTZ011
    told(
        "the order of the wall", lambda: wall(school, measure=PRIMARY, club=iron, phase=Phase.EXIT)
    )
    told("a tile", lambda: as_jpeg(tile_of(still, entry, ball_px=SCREEN_BALL_PX)))
    told("a tile for the projector", lambda: as_jpeg(tile_of(still, entry, ball_px=LARGE_BALL_PX)))
    told("a still with its lines", lambda: whole_still(still, entry))
    told(f"a sheet of {len(shown.tiles)}, PNG", lambda: sheet_png(shown, school, today), 3)
    told(f"a sheet of {len(shown.tiles)}, PDF", lambda: sheet_pdf(shown, school, today), 3)


def told(what: str, act: Callable[[], object], times: int = 10) -> None:
    first, *rest = (seconds(act) for _ in range(times + 1))
    print(f"{what:28} {statistics.median(rest):7.3f} s, first {first:.3f} s")  # noqa: T201


def seconds(act: Callable[[], object]) -> float:
    start = time.process_time()
    act()
    return time.process_time() - start


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 24)
