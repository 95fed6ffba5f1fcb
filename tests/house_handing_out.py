"""Reports on their way in the small house: an address that works, and a file of all of them."""

from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.utils import timezone

from assessments.actions.links import sealed
from assessments.models import Bundle, Report, ReportLink
from assessments.reports import files


@dataclass(frozen=True)
class HandingOut:
    link: ReportLink
    bundle: Bundle


def build_handing_out(report: Report) -> HandingOut:
    files.put("archives/made.zip", b"PK made")
    link = ReportLink.objects.create(
        report=report,
        sent_to=report.enrolment.golfer.email,
        expires_at=timezone.now() + timedelta(days=9),
    )
    bundle = Bundle.objects.create(
        school=report.enrolment.school,
        kind=Bundle.Kind.ARCHIVE,
        state="done",
        file="archives/made.zip",
        reports=1,
    )
    return HandingOut(link, bundle)


def handing_out_addresses(handing_out: HandingOut) -> dict[str, list[Any]]:
    report = handing_out.link.report
    return {
        "report_fetch": [report.pk],
        "report_send": [report.pk],
        "report_link_revoke": [handing_out.link.pk],
        "report_by_link": [sealed(handing_out.link)],
        "bundle_ask": [report.enrolment.school_id, "print"],
        "bundle_download": [handing_out.bundle.pk],
    }


HANDING_OUT_WRITES: dict[str, dict[str, Any]] = {
    "report_fetch": {},
    "report_send": {},
    "report_link_revoke": {},
    "report_by_link": {},
    "bundle_ask": {},
}
