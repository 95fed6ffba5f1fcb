"""Keeping a still."""

from __future__ import annotations

from uuid import UUID

from django.core.files.base import ContentFile, File
from django.core.files.storage import default_storage

from assessments.actions.recording import lock_attendee, refuse_unless_filmed, refuse_unless_taught
from assessments.errors import StillConflict
from assessments.models import FilmingPlace, Still
from assessments.pictures import SafePicture, safe_pair
from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.models import Account, Enrolment


def add_still(
    *,
    id: UUID,  # noqa: A002
    enrolment: Enrolment,
    phase: str,
    club_class: str,
    shot_kind: str,
    upload: File[bytes],
    uploaded_by: Account,
    before: File[bytes] | None = None,
    filming_place: FilmingPlace | None = None,
) -> Still:
    """Keep one still of an attendee; sending the same one again changes nothing.

    `before` is the frame before the strike, of the same clip; `upload` is then the frame at or
    after it. The files are stored before the row and removed again if the row is not written, so
    that a row never names a file that is not there.

    Raises StillPictureRefused for a file that cannot be used, ConsentMissing if nobody agreed to
    filming, StillConflict if the id or the picture is taken, NotTaughtHere, NotEnrolled.
    """
    picture, earlier = safe_pair(upload, before)
    wanted = Still(
        id=id,
        enrolment=enrolment,
        phase=phase,
        club_class=club_class,
        shot_kind=shot_kind,
        filming_place=filming_place,
        sha256=picture.sha256,
        sha256_before=earlier.sha256 if earlier else "",
        width_px=picture.width_px,
        height_px=picture.height_px,
        uploaded_by=uploaded_by,
    )

    stored: list[str] = []
    try:
        _store(wanted, picture, earlier, stored)
        still = in_a_fresh_transaction(lambda: _add(wanted, uploaded_by))
    except BaseException:
        _remove(stored)
        raise
    if still.picture.name not in stored:
        _remove(stored)
    return still


def _store(
    still: Still, picture: SafePicture, earlier: SafePicture | None, stored: list[str]
) -> None:
    """Store the files and name them in the row to be; `stored` grows with each that is there."""
    still.picture.name = _stored(still, "", picture, stored)
    if earlier is not None:
        still.picture_before.name = _stored(still, "-before", earlier, stored)


def _stored(still: Still, suffix: str, picture: SafePicture, stored: list[str]) -> str:
    wanted = Still._meta.get_field("picture").generate_filename(still, f"{still.pk}{suffix}.jpg")
    stored.append(default_storage.save(wanted, ContentFile(picture.jpeg)))
    return stored[-1]


def _remove(stored: list[str]) -> None:
    for name in stored:
        default_storage.delete(name)


def _add(wanted: Still, uploaded_by: Account) -> Still:
    attendee = lock_attendee(wanted.enrolment)
    known = Still.objects.filter(pk=wanted.pk).first()
    if known is not None:
        return _same_or_conflict(known, wanted)
    refuse_unless_taught(attendee, uploaded_by)
    refuse_unless_filmed(attendee)
    _refuse_picture_there_already(wanted)
    wanted.handedness = attendee.golfer.handedness
    wanted.save(force_insert=True)
    note(
        actor=uploaded_by,
        verb="add_still",
        subject=wanted,
        phase=wanted.phase,
        club=wanted.club_class,
    )
    return wanted


def _same_or_conflict(known: Still, wanted: Still) -> Still:
    columns = (
        *("enrolment_id", "phase", "club_class", "shot_kind", "filming_place_id"),
        *("sha256", "sha256_before"),
    )
    if any(getattr(known, column) != getattr(wanted, column) for column in columns):
        raise StillConflict("Another still was sent under this number. Send this one once more.")
    return known


def _refuse_picture_there_already(wanted: Still) -> None:
    there = Still.objects.filter(
        enrolment=wanted.enrolment, phase=wanted.phase, sha256=wanted.sha256
    )
    if there.exists():
        raise StillConflict("This picture is there already. Choose another swing.")
