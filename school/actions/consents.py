"""Writing down who agreed to what."""

from django.utils import timezone

from school.actions.audit import note
from school.actions.retry import in_a_fresh_transaction
from school.details import refuse_wrong_giver
from school.errors import NoConsentText, NotEnrolled
from school.models import Account, Consent, ConsentKind, Enrolment
from school.queries.consents import latest_text


def give_consent(
    *, enrolment: Enrolment, kind: str, given_by: str, actor: Account | None
) -> Consent:
    """Record one consent to the newest text of its kind; one already given is left as it is.

    Raises GuardianNeeded if the golfer is a minor and somebody other than the guardian gives
    it, NotEnrolled once the enrolment is cancelled, NoConsentText if there are no words yet.
    """

    def body() -> Consent:
        fresh = Enrolment.objects.select_related("school", "golfer").get(pk=enrolment.pk)
        if fresh.state not in Enrolment.LIVE:
            raise NotEnrolled(f"{fresh.golfer} is no longer enrolled.")
        return write_consent(fresh, kind, given_by, actor)

    return in_a_fresh_transaction(body)


def withdraw_consent(*, enrolment: Enrolment, kind: str, actor: Account | None) -> int:
    """Take back the consent of this kind, in every version given; how many were taken back.

    It can be withdrawn at any time, also after the school.
    """

    def body() -> int:
        given = enrolment.consents.standing().filter(text__kind=kind)
        withdrawn = given.update(withdrawn_at=timezone.now())
        if withdrawn:
            note(actor=actor, verb="withdraw_consent", subject=enrolment, kind=kind)
        return withdrawn

    return in_a_fresh_transaction(body)


def write_consent(enrolment: Enrolment, kind: str, given_by: str, actor: Account | None) -> Consent:
    """Record one consent. Joins the caller's transaction."""
    given_by = " ".join(given_by.split())
    by_guardian = enrolment.golfer.is_minor_on(enrolment.school.starts_on)
    refuse_wrong_giver(enrolment.golfer.guardian_name if by_guardian else None, given_by)
    text = latest_text(kind)
    if text is None:
        raise NoConsentText(f"There is no text yet for “{ConsentKind(kind).label}”.")
    consent, is_new = Consent.objects.get_or_create(
        enrolment=enrolment,
        text=text,
        withdrawn_at=None,
        defaults={"given_by": given_by, "by_guardian": by_guardian, "recorded_by": actor},
    )
    if is_new:
        note(actor=actor, verb="give_consent", subject=enrolment, kind=kind, by=given_by)
    return consent
