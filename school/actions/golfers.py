"""Writing golfers."""

from dataclasses import asdict

from django.db import transaction

from school.actions.audit import note
from school.details import GolferDetails
from school.errors import GuardianNeeded
from school.models import Account, Enrolment, Golfer, School
from school.queries.golfers import details_of, known_golfers, recognise


def save_golfer(
    *, details: GolferDetails, actor: Account | None, golfer: Golfer | None = None
) -> Golfer:
    """Put a new golfer on file, or replace the details of `golfer` by these.

    Raises ValidationError naming the fields that the file cannot take, GuardianNeeded if an
    enrolled minor would be left without a guardian.
    """
    with transaction.atomic(durable=True):
        return write_golfer(golfer or Golfer(), details, actor)


def known_or_new(details: GolferDetails, actor: Account | None) -> Golfer:
    """The golfer these details mean, brought up to date; what they leave empty stays as it was.

    Joins the caller's transaction.
    """
    golfer = recognise(details, known_golfers([details]))
    if golfer is None:
        return write_golfer(Golfer(), details, actor)
    return write_golfer(golfer, details.filled_over(details_of(golfer)), actor)


def write_golfer(golfer: Golfer, details: GolferDetails, actor: Account | None) -> Golfer:
    """Write what differs from the file, and nothing else. Joins the caller's transaction."""
    changed = [
        name
        for name, value in asdict(details).items()
        if golfer.pk is None or getattr(golfer, name) != value
    ]
    for name in changed:
        setattr(golfer, name, getattr(details, name))
    golfer.email = golfer.email.lower()
    golfer.full_clean(exclude=["account"])
    _keep_guardians(golfer)
    if golfer.pk is None:
        golfer.save(force_insert=True)
        note(actor=actor, verb="add_golfer", subject=golfer)
    elif changed:
        golfer.save(update_fields=changed)
        note(actor=actor, verb="change_golfer", subject=golfer, fields=changed)
    return golfer


def _keep_guardians(golfer: Golfer) -> None:
    """Refuse details that would leave an enrolled minor without a guardian."""
    if golfer.pk is None or (golfer.guardian_name and golfer.guardian_phone):
        return
    coming = School.objects.filter(
        enrolments__golfer=golfer, enrolments__state__in=Enrolment.LIVE
    ).exclude(state=School.State.CLOSED)
    if any(golfer.is_minor_on(school.starts_on) for school in coming):
        raise GuardianNeeded(f"{golfer} is enrolled as a minor: a guardian must stay on file.")
