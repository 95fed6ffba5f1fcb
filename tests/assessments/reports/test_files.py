import errno
import os
from pathlib import Path
from typing import NoReturn
from uuid import uuid4

import pytest
from django.core.files.storage import default_storage

from assessments.reports import files
from assessments.reports.files import PREVIEWS, REPORTS


def names() -> list[str]:
    return sorted(path.name for path in Path(default_storage.path(REPORTS.folder)).glob("*"))


def test_put_leaves_the_whole_file_and_nothing_else() -> None:
    name = REPORTS.name_of(7, uuid4())
    files.put(name, b"whole")
    assert names() == [Path(name).name]
    assert default_storage.open(name).read() == b"whole"


def test_a_full_disk_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(handle: int) -> NoReturn:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.put(REPORTS.name_of(7, uuid4()), b"half")
    assert names() == []


def test_two_attempts_never_share_a_name() -> None:
    name = REPORTS.name_of(7, uuid4())
    files.put(name, b"first")
    assert REPORTS.name_of(7, uuid4()) != name


def test_what_is_stored_is_told_with_the_report_it_is_of() -> None:
    one, other = (REPORTS.name_of(pk, uuid4()) for pk in (7, 77))
    for name in (one, other):
        files.put(name, b"x")
    Path(default_storage.path(f"{one}.part")).write_bytes(b"half")
    assert REPORTS.stored() == {one: 7, f"{one}.part": 7, other: 77}


def test_each_kind_has_its_own_folder() -> None:
    files.put(PREVIEWS.name_of(7, uuid4()), b"x")
    assert REPORTS.stored() == {}
    assert list(PREVIEWS.stored().values()) == [7]


def test_before_the_first_report_nothing_is_stored() -> None:
    assert REPORTS.stored() == {}
