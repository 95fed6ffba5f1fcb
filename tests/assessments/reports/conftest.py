import pytest

from assessments.reports.compose import Composed, compose
from assessments.reports.gather import gather
from assessments.reports.render import render
from school.models import Account
from school.printing import Pdf
from tests.assessments.reports import scene


@pytest.fixture
def composed(instructor: Account) -> Composed:
    return compose(gather(scene.full_school(instructor, golfer__full_name="Łukasz Żółć")))


_printed: list[Pdf] = []


@pytest.fixture
def pdf(request: pytest.FixtureRequest) -> Pdf:
    """The report of `composed`, rendered once for all tests that only look at it."""
    if not _printed:
        _printed.append(render(request.getfixturevalue("composed")))
    return _printed[0]
