"""Where reports, previews and bundles lie: in the private storage, one name for every attempt.

A name holds the key of the row and the token of the claim that wrote it, so that two workers never
write to one name and what a dead one left behind can be told apart.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO
from uuid import UUID

from django.core.files.storage import default_storage


@dataclass(frozen=True)
class Shelf:
    """The folder of one kind of job."""

    folder: str
    prefix: str
    suffix: str = ".pdf"

    def name_of(self, pk: int, token: UUID) -> str:
        """The name of one attempt, relative to the private storage."""
        return f"{self.folder}/{self.prefix}-{pk}-{token.hex}{self.suffix}"

    def stored(self) -> dict[str, int]:
        """The names of all that is there, half files too, each with the key of its row."""
        names = [path.name for path in _path(self.folder).glob(f"{self.prefix}-*-*")]
        return {f"{self.folder}/{name}": int(name.split("-")[1]) for name in names}


REPORTS, PREVIEWS = Shelf("reports", "report"), Shelf("previews", "preview")
PRINTS, ARCHIVES = Shelf("prints", "print"), Shelf("archives", "archive", ".zip")


def put(name: str, content: bytes) -> None:
    """Write a whole file at once; see `placed`."""
    with placed(name) as file:
        file.write(content)


@contextmanager
def placed(name: str) -> Iterator[BinaryIO]:
    """A file to write, whose name never shows half of it, even if the power fails.

    Raises
    ------
    OSError
        If the disk is full or not there; nothing is left behind then.
    """
    path = _path(name)
    part = path.with_name(f"{path.name}.part")
    path.parent.mkdir(parents=True, exist_ok=True)
    try:
        with part.open("xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    _sync_folder(path.parent)


def remove(name: str) -> None:
    _path(name).unlink(missing_ok=True)


def _path(name: str) -> Path:
    return Path(default_storage.path(name))


def _sync_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
