"""Whose signature stands under what a report would say now, and what an instructor signs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import override

from assessments.models import Preview, Report, Signature
from assessments.queries.missing import missing_of
from assessments.reports.fingerprint import fingerprint_of
from assessments.reports.gather import gather_all
from assessments.reports.languages import LOCALES
from lessons.models import Session
from school.models import Enrolment, Language


def said_now(enrolments: Iterable[Enrolment]) -> dict[int, str]:
    """The fingerprint of what each report would say, by enrolment, if anything was recorded.

    As many queries as `gather_all`.
    """
    with override(LOCALES[Language.ENGLISH]):
        return {pk: fingerprint_of(contents) for pk, contents in gather_all(enrolments).items()}


def newest_signatures(enrolments: Iterable[Enrolment]) -> dict[int, Signature]:
    """By enrolment. 1 query."""
    signatures = Signature.objects.filter(enrolment__in=enrolments).select_related("signed_by")
    return {each.enrolment_id: each for each in signatures.order_by("signed_at", "pk")}


def standing_signatures(enrolments: Iterable[Enrolment]) -> dict[int, Signature]:
    """By enrolment, the newest signature if it is of what would still be said.

    A signature under what has changed since counts for nothing. 1 query more than `said_now`.
    """
    by_pk = {enrolment.pk: enrolment for enrolment in enrolments}
    newest = newest_signatures(by_pk.values())
    now = said_now([by_pk[pk] for pk in newest]) if newest else {}
    return {pk: each for pk, each in newest.items() if each.content_sha256 == now.get(pk)}


@dataclass(frozen=True)
class Signing:
    """What an instructor has before them: `said` is empty while nothing was recorded."""

    enrolment: Enrolment
    said: str
    preview: Preview | None
    signature: Signature | None
    report: Report | None
    missing: tuple[str, ...]
    paragraph: Session | None

    @property
    def is_signed(self) -> bool:
        return self.signature is not None and self.signature.content_sha256 == self.said

    @property
    def is_at_work(self) -> bool:
        return self.preview is not None and not self.preview.is_finished

    @property
    def is_being_made(self) -> bool:
        """Whether the worker has the report itself before it."""
        return self.report is not None and not self.report.is_finished

    @property
    def is_shown(self) -> bool:
        """Whether there are pages to look at, be they out of date."""
        return self.preview is not None and self.preview.state == Preview.State.DONE

    @property
    def is_up_to_date(self) -> bool:
        """Whether the pages say what a report would say now."""
        return (
            self.is_shown and self.preview is not None and self.preview.content_sha256 == self.said
        )

    @property
    def page_numbers(self) -> range:
        return range(1, self.preview.pages + 1) if self.preview else range(0)


def signing_of(enrolment: Enrolment) -> Signing:
    """What one attendee's report would say, and who looked at it and signed it.

    10 queries, 2 more with a practice plan and 1 if stills were filmed at any place. The session in
    which the coach's words are recorded is that of the attendee's own squad.
    """
    found = [enrolment]
    report = enrolment.reports.filter(is_current=True).select_related("signature__signed_by")
    return Signing(
        enrolment,
        said=said_now(found).get(enrolment.pk, ""),
        preview=Preview.objects.filter(enrolment=enrolment).first(),
        signature=newest_signatures(found).get(enrolment.pk),
        report=report.first(),
        missing=missing_of(enrolment.school, found)[enrolment.pk],
        paragraph=_paragraph_session(enrolment),
    )


def _paragraph_session(enrolment: Enrolment) -> Session | None:
    return (
        Session.objects.filter(
            plan__is_published=True,
            squad__members__enrolment=enrolment,
            visit__station__entry_kind="coach_paragraph",
        )
        .order_by("-starts_at")
        .first()
    )
