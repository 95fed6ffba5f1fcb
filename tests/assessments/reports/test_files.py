import errno
import os
from pathlib import Path
from typing import NoReturn
from uuid import uuid4

import pytest
from django.core.files.storage import default_storage

from assessments.reports import files


def names() -> list[str]:
    return sorted(path.name for path in Path(default_storage.path(files.FOLDER)).glob("*"))


def test_put_leaves_the_whole_file_and_nothing_else() -> None:
    name = files.name_of(7, uuid4())
    files.put(name, b"whole")
    assert names() == [Path(name).name]
    assert default_storage.open(name).read() == b"whole"


def test_a_full_disk_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> NoReturn:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.put(files.name_of(7, uuid4()), b"half")
    assert names() == []


def test_two_attempts_never_share_a_name() -> None:
    name = files.name_of(7, uuid4())
    files.put(name, b"first")
    assert files.name_of(7, uuid4()) != name


def test_remove_others_spares_other_reports_and_the_one_to_keep() -> None:
    kept, left, other = (files.name_of(pk, uuid4()) for pk in (7, 7, 77))
    for name in (kept, left, other):
        files.put(name, b"x")
    Path(default_storage.path(f"{left}.part")).write_bytes(b"half")
    files.remove_others(7, keep=kept)
    assert names() == sorted(Path(name).name for name in (kept, other))
