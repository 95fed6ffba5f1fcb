"""Rounds of a pairing from which all others follow by turning them.

The golfers stand in rings of ``turn`` places each, golfer p in ring ``p // turn`` at place
``p % turn``; those after the last whole ring stand still. Everybody moves on one place from one
round to the next, and two golfers in a ring, or of two rings, who are in one group of a starter are
in one group again only if their distance comes up twice: so a starter in which none does gives as
many rounds as it is turned. The idea is R. C. Bose's ("On the construction of balanced incomplete
block designs", Annals of Eugenics 9 (1939) 353-399); with all golfers meeting it gives Kirkman's
systems, otherwise nearly Kirkman ones and resolvable group divisible designs (C. J. Colbourn and
J. H. Dinitz, *Handbook of Combinatorial Designs*, 2nd ed., 2007, parts II.7 and IV.5).

The starters were found with ``python -m tests.bench.find_starters``.
"""

from dataclasses import dataclass

Group = tuple[int, ...]


@dataclass(frozen=True)
class Starter:
    """The first rounds, each turned ``times`` times, in rings of ``turn`` golfers."""

    turn: int
    times: int
    golfers: int
    first: tuple[tuple[Group, ...], ...]

    def rounds(self) -> tuple[tuple[Group, ...], ...]:
        """All rounds."""
        return tuple(
            tuple(tuple(self._moved(golfer, by) for golfer in group) for group in played)
            for played in self.first
            for by in range(self.times)
        )

    def _moved(self, golfer: int, by: int) -> int:
        ring, place = divmod(golfer, self.turn)
        if golfer >= self.golfers - self.golfers % self.turn:
            return golfer
        return ring * self.turn + (place + by) % self.turn


STARTERS: dict[tuple[int, int], Starter] = {
    (5, 3): Starter(7, 7, 15, (((0, 8, 11), (1, 10, 14), (2, 3, 5), (4, 7, 9), (6, 12, 13)),)),
    (6, 3): Starter(
        4,
        4,
        18,
        (
            ((0, 4, 9), (1, 6, 8), (2, 12, 15), (3, 5, 17), (7, 14, 16), (10, 11, 13)),
            ((0, 1, 12), (2, 10, 16), (3, 6, 9), (4, 5, 14), (7, 11, 15), (8, 13, 17)),
        ),
    ),
    (7, 3): Starter(
        5,
        5,
        21,
        (
            (
                (0, 2, 13),
                (1, 7, 18),
                (3, 16, 19),
                (4, 6, 14),
                (5, 10, 11),
                (8, 9, 17),
                (12, 15, 20),
            ),
            (
                (0, 5, 20),
                (1, 13, 15),
                (2, 11, 17),
                (3, 4, 7),
                (6, 9, 16),
                (8, 10, 12),
                (14, 18, 19),
            ),
        ),
    ),
    (8, 3): Starter(
        11,
        11,
        24,
        (
            (
                (0, 2, 3),
                (1, 8, 13),
                (4, 9, 17),
                (5, 11, 19),
                (6, 15, 22),
                (7, 14, 23),
                (10, 20, 21),
                (12, 16, 18),
            ),
        ),
    ),
    (10, 3): Starter(
        14,
        14,
        30,
        (
            (
                (0, 2, 22),
                (1, 5, 16),
                (3, 4, 9),
                (6, 19, 29),
                (7, 23, 24),
                (8, 11, 18),
                (10, 14, 28),
                (12, 17, 21),
                (13, 25, 27),
                (15, 20, 26),
            ),
        ),
    ),
    (11, 3): Starter(
        32,
        16,
        33,
        (
            (
                (0, 1, 8),
                (16, 17, 24),
                (2, 18, 32),
                (3, 5, 31),
                (15, 19, 21),
                (4, 13, 23),
                (7, 20, 29),
                (6, 11, 26),
                (10, 22, 27),
                (9, 12, 30),
                (14, 25, 28),
            ),
        ),
    ),
    (6, 4): Starter(
        7,
        7,
        24,
        (
            (
                (0, 1, 3, 7),
                (2, 14, 18, 19),
                (4, 13, 17, 21),
                (5, 8, 16, 22),
                (6, 11, 20, 23),
                (9, 10, 12, 15),
            ),
        ),
    ),
    (7, 4): Starter(
        9,
        9,
        28,
        (
            (
                (0, 1, 3, 26),
                (5, 9, 12, 13),
                (11, 18, 21, 25),
                (2, 14, 16, 22),
                (7, 17, 19, 20),
                (4, 8, 10, 23),
                (6, 15, 24, 27),
            ),
        ),
    ),
    (9, 4): Starter(
        11,
        11,
        36,
        (
            (
                (0, 1, 3, 18),
                (11, 12, 14, 29),
                (7, 22, 23, 25),
                (2, 9, 26, 32),
                (4, 10, 13, 20),
                (15, 21, 24, 31),
                (5, 17, 30, 35),
                (8, 16, 28, 33),
                (6, 19, 27, 34),
            ),
        ),
    ),
    (10, 4): Starter(
        13,
        13,
        40,
        (
            (
                (0, 13, 26, 39),
                (1, 12, 17, 22),
                (3, 10, 14, 25),
                (4, 9, 16, 23),
                (2, 11, 29, 36),
                (6, 7, 30, 35),
                (5, 8, 27, 38),
                (15, 24, 32, 33),
                (19, 20, 31, 34),
                (18, 21, 28, 37),
            ),
        ),
    ),
}
