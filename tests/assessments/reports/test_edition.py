"""What a report says of itself: whose signature, which version, in place of which."""

from dataclasses import replace
from datetime import date

import pytest

from assessments.reports.compose import compose
from assessments.reports.gather import Edition, gather
from school.models import Account
from tests.assessments.reports import scene

pytestmark = pytest.mark.django_db
DAY = date(2026, 5, 12)


@pytest.mark.parametrize(
    ("edition", "said", "not_said"),
    [
        (Edition(1, None, "Ines I", DAY), "Signed by Ines I, 12 May 2026.", "replaces"),
        (Edition(1, None, "", None), "Not signed by an instructor.", "Signed by"),
        (Edition(2, DAY, "Ines I", DAY), "Version 2, replaces that of 12 May 2026.", "Not signed"),
        (None, "A look before signing; this is no report yet.", "Not signed"),
    ],
)
def test_its_cover_says_who_signed_it_and_what_it_replaces(
    edition: Edition | None, said: str, not_said: str, instructor: Account
) -> None:
    contents = gather(scene.full_school(instructor), edition=edition)
    page = compose(replace(contents, clubs=())).html
    assert said in page
    assert not_said not in page
