"""Numbers as they are typed on a phone, in whatever language it speaks."""

import pytest
from django.core.exceptions import ValidationError

from assessments.stations.fields import number_field


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("1.5", 1.5),
        ("1,5", 1.5),
        (" 0,25 ", 0.25),
        ("−2,5", -2.5),
        ("-2.5", -2.5),
        (",5", 0.5),
        ("0,125", 0.125),
        ("2450", 2450),
        ("", None),
    ],
)
def test_a_point_a_comma_and_any_minus_are_read(typed: str, read: float | None) -> None:
    assert number_field("Spin").clean(typed) == read


@pytest.mark.parametrize(
    "typed", ["2,450", "−1,250", "1,2,3", "1.234,5", "nan", "inf", "1e999", "x"]
)
def test_what_is_no_number_or_two_is_refused(typed: str) -> None:
    with pytest.raises(ValidationError):
        number_field("Spin").clean(typed)


@pytest.mark.parametrize("is_signed", [True, False])
def test_the_browser_does_not_empty_what_it_cannot_read(is_signed: bool) -> None:
    field = number_field("Side", is_signed=is_signed)
    assert 'type="text"' in field.widget.render("side", "1,5x")
