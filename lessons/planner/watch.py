"""Work on another thread, told of on the caller's own: each better plan, and at least every second.

The caller may end it: by saying so, when what there is is taken, or by raising, when nothing is.
"""

import queue
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

from lessons.planner.plan import Placement

T = TypeVar("T")
Found = tuple[Placement, ...]
Tell = Callable[[Found | None], bool]

TICK_SECONDS = 0.5


class Watch:
    """Plans found by the work and not yet told, and whether to go on."""

    def __init__(self) -> None:
        self._found: queue.SimpleQueue[Found | None] = queue.SimpleQueue()
        self._done = False

    def found(self, plan: Found) -> None:
        """Note a better plan; called by the work."""
        self._found.put(plan)

    def over(self, work: Callable[[], T], tell: Tell, stop: Callable[[], None]) -> T:
        """Do the work; ``stop`` is called to end it early, when ``tell`` answers False or raises.

        ``tell`` gets each plan found, and None when there was none for a while.
        """
        with ThreadPoolExecutor(max_workers=1) as pool:
            running = pool.submit(work)
            running.add_done_callback(lambda _: self._end())
            try:
                while not self._done:
                    if not self._told(tell):
                        stop()
                        break
            except BaseException:
                stop()
                raise
        result = running.result()
        while not self._found.empty():
            plan = self._found.get()
            if plan is not None:
                tell(plan)
        return result

    def _told(self, tell: Tell) -> bool:
        try:
            plan = self._found.get(timeout=TICK_SECONDS)
        except queue.Empty:
            return tell(None)
        return plan is None or tell(plan)

    def _end(self) -> None:
        self._done = True
        self._found.put(None)
