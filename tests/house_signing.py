"""Reports to sign in the small house: of a school that is over, in which the instructor taught."""

from dataclasses import dataclass
from typing import Any

from django.utils import timezone

from assessments.models import Preview
from assessments.queries.signing import said_now
from assessments.reports import files
from school.models import Account, Enrolment
from tests.assessments.factories import EntryFactory
from tests.factories import EnrolmentFactory, SchoolFactory
from tests.lessons.factories import SessionFactory

# The least that is a PDF of one page.
ONE_PAGE = (
    b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n"
    b"2 0 obj<</Type/Pages/Kids[3 0 R]/Count 1>>endobj\n"
    b"3 0 obj<</Type/Page/Parent 2 0 R/MediaBox[0 0 595 842]>>endobj\n"
    b"trailer<</Root 1 0 R>>\n%%EOF\n"
)


@dataclass(frozen=True)
class Signing:
    """Somebody of whom something was recorded and whose pages were made; nobody signed them."""

    attendee: Enrolment
    preview: Preview


def build_signing(instructor: Account) -> Signing:
    school = SchoolFactory.create(state="closed", closed_at=timezone.now())
    attendee = EnrolmentFactory.create(school=school)
    SessionFactory.create(plan__school=school, instructor=instructor.staff.instructor)
    EntryFactory.create(enrolment=attendee)
    files.put("previews/made.pdf", ONE_PAGE)
    preview = Preview.objects.create(
        enrolment=attendee,
        state="done",
        file="previews/made.pdf",
        content_sha256=said_now([attendee])[attendee.pk],
        pages=1,
    )
    return Signing(attendee, preview)


def signing_addresses(signing: Signing) -> dict[str, list[Any]]:
    at = [signing.attendee.school_id, signing.attendee.pk]
    return {
        **dict.fromkeys(("report_sign", "report_preview", "report_unsigned"), at),
        "preview_file": [signing.preview.pk],
        "preview_page": [signing.preview.pk, 1],
    }


def signing_writes(signing: Signing) -> dict[str, dict[str, Any]]:
    """What to send so that something changes, by URL name."""
    return {
        "report_sign": {"content_sha256": signing.preview.content_sha256},
        "report_preview": {},
        "report_unsigned": {},
    }
