"""How far the reports of a school are, what each attendee still lacks, and why one cannot go."""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Count, Max

from assessments.models import Bundle, Entry, Report, ReportLink, Signature
from assessments.queries.missing import missing_of, recorded_kinds
from assessments.queries.signing import newest_signatures, said_now
from lessons.access import teachers_of
from school.models import Account, Enrolment, School

TONES = {
    Report.State.QUEUED: "quiet",
    Report.State.RUNNING: "info",
    Report.State.DONE: "good",
    Report.State.PARKED: "attention",
}


@dataclass(frozen=True)
class ReportRow:
    """One attendee's line: every version of the report, the newest signature, what is missing.

    `said` is the fingerprint of what the report would say now, where somebody signed or got one.
    """

    enrolment: Enrolment
    versions: tuple[Report, ...]
    signature: Signature | None
    said: str
    missing: tuple[str, ...]
    is_recorded: bool

    @property
    def report(self) -> Report | None:
        """The current version, be it made or not."""
        return next((each for each in self.versions if each.is_current), None)

    @property
    def sent(self) -> Report | None:
        """The newest version that was made."""
        return next((each for each in self.versions if each.state == Report.State.DONE), None)

    @property
    def older(self) -> tuple[Report, ...]:
        """The versions that another has taken the place of, newest first."""
        done = Report.State.DONE
        return tuple(each for each in self.versions if each.state == done and each != self.sent)

    @property
    def link(self) -> ReportLink | None:
        """The newest address under which the newest version was sent, if it was."""
        return next(iter(self.sent.links.all()), None) if self.sent else None

    @property
    def is_sent_elsewhere(self) -> bool:
        """Whether the e-mail it went to is not the one that would be written to now."""
        link = self.link
        return link is not None and link.sent_to.lower() != address_of(self.enrolment).lower()

    @property
    def tone(self) -> str:
        return TONES[Report.State(self.report.state)] if self.report else "quiet"

    @property
    def is_signed(self) -> bool:
        return self.signature is not None and self.signature.content_sha256 == self.said

    @property
    def is_changed_since_signed(self) -> bool:
        return self.signature is not None and not self.is_signed

    @property
    def is_changed_since_sent(self) -> bool:
        """Whether the newest version that was made says something else than would be said now."""
        return self.sent is not None and self.sent.said_sha256 not in ("", self.said)

    @property
    def is_at_work(self) -> bool:
        return self.report is not None and not self.report.is_finished

    @property
    def may_go_unsigned(self) -> bool:
        """Whether there is something to send that nobody has signed, and that has not been sent."""
        is_sent = self.sent is not None and not self.is_changed_since_sent
        return self.is_recorded and not (self.is_signed or self.is_at_work or is_sent)

    @property
    def may_be_made_again(self) -> bool:
        """Whether it stopped, or was made and the same may go once more, as when its file is lost.

        What went unsigned may, as long as it would say the same.
        """
        if self.report is None or self.report.state != Report.State.DONE:
            return self.report is not None and self.report.state == Report.State.PARKED
        went_unsigned = self.report.signature is None and self.report.said_sha256 == self.said
        return self.is_signed or went_unsigned

    @property
    def is_overdue(self) -> bool:
        """Whether it is signed and yet no report was asked for, as after a correction undone."""
        return self.is_signed and (self.report is None or self.report.signature != self.signature)


def address_of(enrolment: Enrolment) -> str:
    """The golfer's e-mail, or for a minor without one the guardian's; empty if neither is known."""
    golfer = enrolment.golfer
    if not golfer.email and golfer.is_minor_on(enrolment.school.starts_on):
        return golfer.guardian_email
    return golfer.email


@dataclass(frozen=True)
class Whole:
    """All reports in one file of one kind: the job, if it was asked for."""

    kind: Bundle.Kind
    bundle: Bundle | None
    made: tuple[Report, ...]

    @property
    def is_outdated(self) -> bool:
        """Whether a report in it was replaced since, or one that is made now is not in it."""
        if not self.is_ready or self.bundle is None:
            return False
        newest = max((each.finished_at for each in self.made if each.finished_at), default=None)
        is_older = newest is not None and newest > self.bundle.queued_at
        return is_older or len(self.made) != self.bundle.reports

    @property
    def tone(self) -> str:
        return TONES[Report.State(self.bundle.state)] if self.bundle else "quiet"

    @property
    def is_ready(self) -> bool:
        return self.bundle is not None and self.bundle.state == Bundle.State.DONE

    @property
    def is_at_work(self) -> bool:
        return self.bundle is not None and not self.bundle.is_finished


@dataclass(frozen=True)
class Progress:
    """A school's reports by attendee; `finished` counts the ready and the stopped."""

    rows: tuple[ReportRow, ...]
    teachers: tuple[Account, ...]
    bundles: tuple[Whole, ...]

    @property
    def asked_for(self) -> tuple[Report, ...]:
        return tuple(row.report for row in self.rows if row.report is not None)

    @property
    def total(self) -> int:
        return len(self.asked_for)

    @property
    def finished(self) -> int:
        return sum(report.is_finished for report in self.asked_for)

    @property
    def stopped(self) -> int:
        return sum(report.state == Report.State.PARKED for report in self.asked_for)

    @property
    def signed(self) -> int:
        return sum(row.is_signed for row in self.rows)

    @property
    def at_work(self) -> bool:
        return self.finished < self.total or any(whole.is_at_work for whole in self.bundles)


def progress(school: School) -> Progress:
    """Every seated attendee of a school by seat.

    7 queries, 4 more if anything was signed or made, 1 if there are reports, 2 if practice plans
    and 1 if stills have places.
    """
    enrolments = list(
        school.enrolments.filter(state=Enrolment.State.SEATED)
        .select_related("golfer", "school")
        .order_by("seat")
    )
    versions = _versions(enrolments)
    signatures = newest_signatures(enrolments)
    told = [one for one in enrolments if one.pk in versions or one.pk in signatures]
    said = said_now(told) if told else {}
    recorded = recorded_kinds(enrolments)
    missing = missing_of(school, enrolments, recorded)
    rows = tuple(
        ReportRow(
            one,
            versions=tuple(versions.get(one.pk, ())),
            signature=signatures.get(one.pk),
            said=said.get(one.pk, ""),
            missing=missing[one.pk],
            is_recorded=one.pk in recorded,
        )
        for one in enrolments
    )
    return Progress(rows, tuple(teachers_of(school)), _bundles(school, rows))


def stamp_of(school: School) -> str:
    """The same as long as nothing was asked for, made, opened, sent, signed or recorded. 6 queries.

    Working out what every report would say takes a while, and a page may stay open for hours.
    """
    seats = Enrolment.objects.filter(school=school, state=Enrolment.State.SEATED)
    reports = Report.objects.filter(enrolment__school=school).order_by("pk")
    links = ReportLink.objects.filter(report__enrolment__school=school).order_by("pk")
    entries = Entry.objects.filter(enrolment__school=school)
    found = (
        list(seats.order_by("pk").values_list("pk")),
        list(reports.values_list("pk", "state", "reason", "signature", "opened_at")),
        list(links.values_list("pk", "revoked_at")),
        list(school.bundles.order_by("pk").values_list("pk", "state", "reason")),
        Signature.objects.filter(enrolment__school=school).aggregate(newest=Max("pk")),
        entries.aggregate(newest=Max("recorded_at"), count=Count("pk")),
    )
    return hashlib.sha256(repr(found).encode()).hexdigest()[:16]


def _bundles(school: School, rows: Iterable[ReportRow]) -> tuple[Whole, ...]:
    current = {each.kind: each for each in school.bundles.filter(is_current=True)}
    reports = [row.report for row in rows if row.report is not None]
    made = tuple(each for each in reports if each.state == Report.State.DONE)
    return tuple(Whole(kind, current.get(kind), made) for kind in Bundle.Kind)


def _versions(enrolments: Iterable[Enrolment]) -> dict[int, list[Report]]:
    """Every version by enrolment, newest first."""
    found: defaultdict[int, list[Report]] = defaultdict(list)
    reports = Report.objects.filter(enrolment__in=enrolments).order_by("-version")
    for report in reports.select_related("signature__signed_by").prefetch_related("links"):
        found[report.enrolment_id].append(report)
    return dict(found)
