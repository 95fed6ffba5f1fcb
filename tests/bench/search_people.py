"""How long a search of people takes: `python -m tests.bench.search_people [HOW_MANY_GOLFERS]`.

Works on a house of its own in memory, by default as large as is looked through.
"""

import statistics
import sys
import time

from tests.bench.own_house import own_house

REPEATS = 5


def main(golfers: int) -> None:
    with own_house():
        measure(golfers)


def measure(golfers: int) -> None:
    from school.models import Golfer
    from school.queries.search import find_people

    Golfer.objects.bulk_create(
        Golfer(full_name=f"Żółć Number {n}", email=f"z{n}@example.org") for n in range(golfers)
    )
    for words in ("", f"zolc {golfers - 1}", "1632 960 303"):
        times = []
        for _ in range(REPEATS):
            start = time.perf_counter()
            found = find_people(words)
            times.append(1000 * (time.perf_counter() - start))
        sys.stdout.write(
            f"{words or 'everybody':<14} {found.page.paginator.count:6} of {golfers}: "
            f"{statistics.median(times):.0f} ms (median of {REPEATS})\n"
        )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
