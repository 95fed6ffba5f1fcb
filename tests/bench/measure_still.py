"""Print how long one still takes to measure: `python -m tests.bench.measure_still`."""

import sys
import time
from statistics import median

from assessments.impact.geometry import StillGeometry
from assessments.impact.measures import measure_still
from tests.assessments.impact.marks import still


def median_ms(geometry: StillGeometry, repeats: int) -> float:
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        measure_still(geometry)
        times.append(1000 * (time.perf_counter() - start))
    return median(times)


if __name__ == "__main__":
    for method, px_per_mm, repeats in (("first order", 0.4, 500), ("Monte Carlo", 0.22, 40)):
        ms = median_ms(still(px_per_mm=px_per_mm), repeats)
        sys.stdout.write(f"{method}: {ms:.2f} ms a still (median of {repeats})\n")
