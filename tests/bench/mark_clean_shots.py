"""Print what one clean shot in a hundred reaches: `python -m tests.bench.mark_clean_shots`.

It is what `CUTS` of the dispersion is made of. With 1000 draws for each number of shots the figures
come out within a few per cent of those, in about ten minutes.
"""

import sys

import numpy as np

from assessments.statistics.dispersion import CLEAN, CUTS, FEWEST, MOST, _distances


def reached(n: int, draws: int) -> float:
    chance = np.random.default_rng(n)
    squares = [_distances(chance.normal(scale=8.0, size=(n, 2))) for _ in range(draws)]
    return float(np.quantile(np.concatenate(squares), CLEAN))


if __name__ == "__main__":
    draws = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    for n in range(FEWEST, MOST + 1):
        sys.stdout.write(f"{n} shots: {reached(n, draws):.1f} (in use {CUTS[n - FEWEST]:.0f})\n")
