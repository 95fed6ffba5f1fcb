"""Values of a JSON file read with the place they stand at, so that a wrong one can be named."""

from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any, TypeVar

T = TypeVar("T")


class SchoolPlanError(ValueError):
    """A file that is not a school or a plan as it should be, in words that name the place."""


class Row:
    """One object of a file; ``where`` is its path, as in ``bays[3]``."""

    def __init__(self, data: object, where: str = "") -> None:
        if not isinstance(data, Mapping):
            raise SchoolPlanError(f"{where or 'The file'} must be an object in braces.")
        self.data: Mapping[str, Any] = data
        self.where = where

    def path(self, key: str) -> str:
        return f"{self.where}.{key}" if self.where else key

    def wrong(self, key: str, what: str) -> SchoolPlanError:
        return SchoolPlanError(f"{self.path(key)} {what}.")

    def has(self, key: str) -> bool:
        """Whether there is something under the key; null is nothing."""
        return self.data.get(key) is not None

    def text(self, key: str, among: Collection[str] | None = None) -> str:
        value = self.data.get(key)
        if not isinstance(value, str) or not value:
            raise self.wrong(key, "must be a text that is not empty")
        return self._known(key, value, among)

    def whole(self, key: str, least: int = 0, default: int | None = None) -> int:
        value = self.data.get(key, default)
        return whole(value, self.path(key), least)

    def flag(self, key: str) -> bool:
        value = self.data.get(key, False)
        if not isinstance(value, bool):
            raise self.wrong(key, "must be true or false")
        return value

    def items(self, key: str) -> list[Any]:
        """The list under the key; none when there is nothing."""
        value = self.data.get(key)
        if value is not None and not isinstance(value, list):
            raise self.wrong(key, "must be a list")
        return value or []

    def rows(self, key: str, make: Callable[["Row"], T]) -> tuple[T, ...]:
        return tuple(
            make(Row(item, f"{self.path(key)}[{number}]"))
            for number, item in enumerate(self.items(key))
        )

    def some_rows(self, key: str, make: Callable[["Row"], T]) -> tuple[T, ...]:
        """At least one row."""
        found = self.rows(key, make)
        if not found:
            raise self.wrong(key, "must be a list of at least one")
        return found

    def texts(self, key: str, among: Collection[str] | None = None) -> tuple[str, ...]:
        values = self.items(key)
        for value in values:
            if not isinstance(value, str) or not value:
                raise self.wrong(key, "must hold texts that are not empty")
            self._known(key, value, among)
        return tuple(values)

    def pair(self, key: str, among: Collection[str]) -> tuple[str, str]:
        values = self.texts(key, among)
        if len(values) != 2 or values[0] == values[1]:
            raise self.wrong(key, "must name two that differ")
        return values[0], values[1]

    def wholes(self, key: str, size: int | None = None) -> Iterator[tuple[int, ...]]:
        """Lists of whole numbers, as in ``[[0, 0, 8], [1, 4, 8]]``."""
        for number, item in enumerate(self.items(key)):
            where = f"{self.path(key)}[{number}]"
            if not isinstance(item, list) or (size is not None and len(item) != size):
                raise SchoolPlanError(f"{where} must be a list of {size} whole numbers.")
            yield tuple(whole(value, where, 0) for value in item)

    def _known(self, key: str, value: str, among: Collection[str] | None) -> str:
        if among is not None and value not in among:
            raise self.wrong(key, f"names {value!r}, which the school does not have")
        return value


def whole(value: object, where: str, least: int) -> int:
    """A whole number from ``least`` on; true and false are none."""
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        raise SchoolPlanError(f"{where} must be a whole number from {least} on.")
    return value
