"""How a golfer reads numbers and reports."""

from django.db import transaction

from school.actions.audit import note
from school.models import Account, Golfer


def set_preferences(
    *, golfer: Golfer, distances_in: str, speeds_in: str, language: str, actor: Account
) -> Golfer:
    """Say in what units and in which language the golfer is written to from now on.

    Raises ValidationError, with words by column, for a unit or a language that there is not.
    """
    wanted = {"distances_in": distances_in, "speeds_in": speeds_in, "language": language}
    with transaction.atomic(durable=True):
        row = Golfer.objects.select_for_update().get(pk=golfer.pk)
        changed = [name for name, value in wanted.items() if getattr(row, name) != value]
        for name in changed:
            setattr(row, name, wanted[name])
        row.clean_fields(exclude=[f.name for f in Golfer._meta.fields if f.name not in wanted])
        if changed:
            row.save(update_fields=changed)
            note(actor=actor, verb="set_preferences", subject=row, fields=changed)
        return row
