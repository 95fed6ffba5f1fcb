"""What a report says in the golfer's language, beside its fingerprint.

What is signed is the English, whatever language is printed: neither another language nor a better
translation undoes a signature.
"""

from __future__ import annotations

from django.utils.translation import override

from assessments.reports.fingerprint import fingerprint_of
from assessments.reports.gather import Edition, ReportContents, gather
from school.models import Enrolment, Golfer, Language

LOCALES = {Language.ENGLISH: "en-gb", Language.GERMAN: "de"}


def said_by(enrolment: Enrolment) -> str:
    """The fingerprint of what the report says; raises as `gather`, in as many queries."""
    return fingerprint_of(_in_english(enrolment, None))


def read_for(enrolment: Enrolment, edition: Edition | None = None) -> tuple[ReportContents, str]:
    """What the report says in the golfer's language, and its fingerprint; raises as `gather`.

    The English is read first and once more after the other language: something may be recorded
    between the two, and nobody shall sign what stands on no page.
    """
    contents = _in_english(enrolment, edition)
    said, before = fingerprint_of(contents), ""
    if enrolment.golfer.language == Language.ENGLISH:
        return contents, said
    while said != before:
        with in_language_of(enrolment.golfer):
            contents = gather(enrolment, edition=edition)
        before, said = said, fingerprint_of(_in_english(enrolment, edition))
    return contents, said


def in_language_of(golfer: Golfer) -> override:
    """While it lasts, texts and numbers are those of the golfer's language."""
    return override(LOCALES[Language(golfer.language)])


def _in_english(enrolment: Enrolment, edition: Edition | None) -> ReportContents:
    with override(LOCALES[Language.ENGLISH]):
        return gather(enrolment, edition=edition)
