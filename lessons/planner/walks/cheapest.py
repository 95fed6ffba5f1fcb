"""The cheapest timetables of one squad when sessions and idle slots have a price.

Costs to go run backwards over the slots; a timetable is then read off forwards, always by a
cheapest step or, to get others nearly as good, by a random one that does not cost much more.
"""

import random
from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from lessons.planner.walks.routes import Floats, Prices, Routes, Session, _Layer, _Move


class Timetable(NamedTuple):
    """What one squad does: its sessions in order, its walking minutes and its idle slots."""

    sessions: tuple[Session, ...]
    walk: int
    idle: int


class _Step(NamedTuple):
    cost: float
    slot: int
    state: int
    column: int
    session: Session | None
    walk: float
    idle: int


class Cheapest:
    """The costs to go at one set of prices.

    ``best`` is the cost of the cheapest timetable: its walking minutes, and the prices of its
    sessions and idle slots.
    """

    def __init__(self, routes: Routes, prices: Prices, idle_price: float = 0.0) -> None:
        self.routes = routes
        self.prices = prices
        self.idle_price = idle_price
        self.fees: list[list[list[tuple[dict[int, float], dict[int, int]]]]] = []
        self.costs: list[list[Floats]] = []
        ahead = np.zeros(1)
        for day in reversed(routes.days):
            ahead = self._day(day, ahead)
        self.best = float(ahead[0]) if len(ahead) else float("inf")

    def _fee(self, day: int, move: _Move) -> tuple[dict[int, float], dict[int, int]]:
        """The price of the move at each place, and the pool to have it in."""
        fees, pools = {}, {}
        for place, numbers in move.pools.items():
            priced = [
                (self.prices.get(Session(move.visit, day, move.slot, pool), 0.0), pool)
                for pool in numbers
            ]
            fees[place], pools[place] = min(priced)
        return fees, pools

    def _day(self, day: int, ahead: Floats) -> Floats:
        """Costs to go within a day, from those at the start of the next one."""
        routes, row = self.routes, self.routes.layers[day]
        fees = [[self._fee(day, move) for move in layer.moves] for layer in row]
        costs: list[Floats] = [np.empty(0)] * len(row)
        for slot in reversed(range(len(row))):
            layer = row[slot]
            cost = np.full((len(layer.codes), routes.columns), np.inf)
            if slot == len(row) - 1:
                rest = ahead[routes.cleared[day]]
                cost[:, routes.rest] = cost[:, routes.fresh] = cost[:, routes.done] = rest
                cost[:, : routes.places] = rest[:, None] + routes.home
            else:
                self._moves(cost, layer, fees[slot], costs)
                self._passes(cost, layer, costs[slot + 1])
            if slot == routes.problem.grid.lunch_after:
                cost[:, : routes.places] = cost[:, [routes.rest]] + routes.home
                if routes.waits:
                    cost[:, routes.waits :] = cost[:, : routes.places]
            costs[slot] = cost
        self.fees.insert(0, fees)
        self.costs.insert(0, costs)
        return costs[0][:, routes.fresh]

    def _moves(
        self,
        cost: Floats,
        layer: _Layer,
        fees: list[tuple[dict[int, float], dict[int, int]]],
        costs: list[Floats],
    ) -> None:
        routes = self.routes
        arrive = np.full((len(layer.codes), routes.places), np.inf)
        for move, (fee, _) in zip(layer.moves, fees, strict=True):
            after = costs[move.slot + routes.visits[move.visit].slots]
            for place, price in fee.items():
                then = after[move.target, place] + price
                arrive[move.source, place] = np.minimum(arrive[move.source, place], then)
        for place in range(routes.places):
            if np.isfinite(arrive[:, place]).any():
                np.minimum(cost, arrive[:, [place]] + routes.steps[:, place], out=cost)

    def _passes(self, cost: Floats, layer: _Layer, after: Floats) -> None:
        """Not begun yet, done for today, or waiting for the next session."""
        routes = self.routes
        on = layer.onward >= 0
        where = layer.onward[on]
        onward = np.full((len(cost), routes.columns), np.inf)
        onward[on] = after[where]
        cost[:, routes.fresh] = np.minimum(cost[:, routes.fresh], onward[:, routes.fresh])
        cost[:, routes.done] = onward[:, routes.done]
        ends = onward[:, [routes.done]] + routes.home
        cost[:, : routes.places] = np.minimum(cost[:, : routes.places], ends)
        cost[:, routes.rest] = np.minimum(cost[:, routes.rest], onward[:, routes.done])
        if routes.waits:
            wait = onward[:, routes.waits :] + self.idle_price
            cost[:, : routes.places] = np.minimum(cost[:, : routes.places], wait)
            cost[:, routes.waits :] = np.minimum(cost[:, routes.waits :], wait)
            rest = onward[:, routes.rest] + self.idle_price
            cost[:, routes.rest] = np.minimum(cost[:, routes.rest], rest)

    # Reading a timetable off

    def timetable(self, slack: float = 0.0, dice: random.Random | None = None) -> Timetable:
        """A timetable that costs at most ``slack`` more than the cheapest one."""
        routes, state = self.routes, 0
        sessions: list[Session] = []
        walk, idle = 0.0, 0
        for day in routes.days:
            slot, column = 0, routes.fresh
            while slot < len(routes.layers[day]) - 1:
                here = self.costs[day][slot][state, column]
                if slot == routes.problem.grid.lunch_after and self._at_a_place(column):
                    walk += routes.home[self._place(column)]
                    column = routes.rest
                    here = self.costs[day][slot][state, column]
                steps = [
                    step
                    for step in self._steps(day, slot, state, column)
                    if step.cost <= here + slack + 1e-7
                ]
                step = dice.choice(steps) if dice else min(steps, key=lambda step: step.cost)
                slack -= max(0.0, step.cost - here)
                walk, idle = walk + step.walk, idle + step.idle
                sessions += [step.session] if step.session else []
                slot, state, column = step.slot, step.state, step.column
            if self._at_a_place(column):
                walk += routes.home[self._place(column)]
            state = int(routes.cleared[day][state])
        return Timetable(tuple(sessions), round(walk), idle)

    def _at_a_place(self, column: int) -> bool:
        return column < self.routes.places or bool(
            self.routes.waits and column >= self.routes.waits
        )

    def _place(self, column: int) -> int:
        return column if column < self.routes.places else column - self.routes.waits

    def _steps(self, day: int, slot: int, state: int, column: int) -> Iterator[_Step]:
        """What can be done next, each with its cost to go."""
        routes, layer = self.routes, self.routes.layers[day][slot]
        if column != routes.done:
            for move, (fee, pools) in zip(layer.moves, self.fees[day][slot], strict=True):
                where = int(np.searchsorted(move.source, state))
                if where == len(move.source) or move.source[where] != state:
                    continue
                then, target = slot + routes.visits[move.visit].slots, int(move.target[where])
                for place, price in fee.items():
                    walk = float(routes.steps[column, place])
                    cost = walk + price + self.costs[day][then][target, place]
                    session = Session(move.visit, day, slot, pools[place])
                    yield _Step(float(cost), then, target, place, session, walk, 0)
        if layer.onward[state] >= 0:
            yield from self._waits(day, slot + 1, int(layer.onward[state]), column)

    def _waits(self, day: int, slot: int, state: int, column: int) -> Iterator[_Step]:
        routes, costs = self.routes, self.costs[day][slot][state]
        if column in (routes.fresh, routes.done):
            yield _Step(float(costs[column]), slot, state, column, None, 0.0, 0)
            return
        walk = 0.0 if column == routes.rest else float(routes.home[self._place(column)])
        if column < routes.waits or not routes.waits:
            yield _Step(walk + float(costs[routes.done]), slot, state, routes.done, None, walk, 0)
        if routes.waits:
            to = column if column == routes.rest else routes.waits + self._place(column)
            cost = float(costs[to]) + self.idle_price
            yield _Step(cost, slot, state, to, None, 0.0, 1)
