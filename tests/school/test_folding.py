"""Names and telephones made comparable."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from school.folding import fold, names_are_similar, phone_key


@pytest.mark.parametrize(
    ("text", "folded"),
    [
        ("Żółć", "zolc"),
        ("ŻÓŁĆ", "zolc"),
        ("Łukasz  Ørsted", "lukasz orsted"),
        ("Þóra Æbelø", "thora aebelo"),
        ("Weiß", "weiss"),
        ("ﬁne", "fine"),
        ("Đorđe", "dorde"),
    ],
)
def test_accents_and_capitals_fall_away(text: str, folded: str) -> None:
    assert fold(text) == folded


@given(st.text(max_size=30))
def test_folding_twice_changes_nothing(text: str) -> None:
    assert fold(fold(text)) == fold(text)


@pytest.mark.parametrize("other", ["01632 960303", "+44 1632 960303", "(01632) 960-303"])
def test_one_telephone_number_has_one_key(other: str) -> None:
    assert phone_key(other) == "632960303" == phone_key("0044 1632 960 303")


def test_a_number_without_its_area_has_no_key() -> None:
    assert phone_key("960303") == ""


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Zoë Żółć", "zoe zolc"),
        ("Bell, Joanna", "Joanna Bell"),
        ("Jo Bell", "Joanna Bell"),
        ("Jonathan Marsh", "Johnathan Marsh"),
    ],
)
def test_similar_names(one: str, other: str) -> None:
    assert names_are_similar(one, other)
    assert names_are_similar(other, one)


@pytest.mark.parametrize(("one", "other"), [("Ann Bell", "Ida Bell"), ("Jo", "Joanna"), ("", "")])
def test_names_that_differ(one: str, other: str) -> None:
    assert not names_are_similar(one, other)
