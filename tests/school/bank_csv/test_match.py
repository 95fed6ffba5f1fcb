"""Whose money it is, and why."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from school.bank_csv import Candidate, WaitingLine, payment_reference, references_in, suggest
from school.bank_csv.match import Suggestion

DUE = Decimal("720.00")


def who(pk: int = 12, name: str = "Maren Thistlewood", **columns: object) -> Candidate:
    given = {"currency": "GBP", "due": DUE, "deposit_due": Decimal("240.00"), **columns}
    return Candidate(pk=pk, name=name, **given)  # type: ignore[arg-type]


def line(text: str, amount: str = "720.00", pk: int = 1, currency: str = "GBP") -> WaitingLine:
    return WaitingLine(pk, Decimal(amount), currency, text)


def first(one: WaitingLine, *candidates: Candidate) -> Suggestion | None:
    return next(iter(suggest([one], candidates)[one.pk]), None)


@pytest.mark.parametrize(
    ("text", "amount", "words", "is_certain"),
    [
        (
            "ref m000012",
            "720.00",
            "The reference names Maren Thistlewood, and the amount is the whole balance.",
            True,
        ),
        (
            "M-000012",
            "240.00",
            "The reference names Maren Thistlewood, and the amount is the deposit that is due.",
            True,
        ),
        (
            "THISTLEWOOD MAREN M000012",
            "100.00",
            "The reference names Maren Thistlewood, the name is in the text too, "
            "and £620.00 would still be owed.",
            True,
        ),
        (
            "M000012",
            "100.00",
            "The reference names Maren Thistlewood, and £620.00 would still be owed.",
            False,
        ),
        (
            "M000012 M000013 Maren Thistlewood",
            "720.00",
            "The reference names Maren Thistlewood, the name is in the text too, "
            "and the amount is the whole balance.",
            False,
        ),
        (
            "M000012 Maren Thistlewood",
            "800.00",
            "The reference names Maren Thistlewood, the name is in the text too, "
            "and the amount is £80.00 more than is owed.",
            False,
        ),
        (
            "from M Thistlewood, Maren",
            "720.00",
            "The name Maren Thistlewood is in the text, and the amount is the whole balance.",
            False,
        ),
        (
            "golf",
            "720.00",
            "Only Maren Thistlewood owes exactly this.",
            False,
        ),
    ],
)
def test_each_reason_is_said_and_only_a_reference_with_another_is_certain(
    text: str, amount: str, words: str, is_certain: bool
) -> None:
    found = first(line(text, amount), who())
    assert found is not None
    assert (found.words, found.is_certain) == (words, is_certain)


@pytest.mark.parametrize(
    ("text", "amount"), [("golf", "240.00"), ("Thistlewood", "5.00"), ("M12", "5.00"), ("", "1.00")]
)
def test_too_little_is_no_reason(text: str, amount: str) -> None:
    assert first(line(text, amount), who()) is None


def test_an_amount_that_two_owe_proposes_neither() -> None:
    assert first(line("golf"), who(), who(13, "Idris Penhallow")) is None


def test_the_likelier_comes_first() -> None:
    both = suggest([line("Idris Penhallow M000012")], [who(13, "Idris Penhallow"), who()])[1]
    assert [s.candidate.pk for s in both] == [12, 13]


def test_a_name_is_known_without_its_accents() -> None:
    assert first(line("ZOLC LUKASZ golf", "5.00"), who(name="Łukasz Żółć")) is not None


def test_a_name_of_one_word_is_met_by_chance() -> None:
    assert first(line("Ann and the range", "5.00"), who(name="Ann")) is None


def test_nothing_owed_is_said() -> None:
    nothing = who(due=Decimal("0.00"), deposit_due=Decimal("0.00"))
    found = first(line("M000012 Maren Thistlewood"), nothing)
    assert found is not None
    assert found.words.endswith("and nothing is owed.")
    assert not found.is_certain


def test_a_second_payment_of_the_same_is_not_certain() -> None:
    found = suggest([line("M000012", pk=1), line("M000012", pk=2)], [who()])
    assert [found[pk][0].is_certain for pk in (1, 2)] == [True, False]


@pytest.mark.parametrize("text", ["M000012", "m 000012", "ref:M-000012.", "XM-000012 m000012"])
def test_a_reference_is_found_as_people_type_it(text: str) -> None:
    assert references_in(text) == {12}


@pytest.mark.parametrize("text", ["M12", "AM000012", "M0000000012", "000012"])
def test_what_is_no_reference(text: str) -> None:
    assert references_in(text) == set()


@given(st.integers(1, 999_999_999))
def test_a_reference_is_read_as_it_is_written(pk: int) -> None:
    assert references_in(f"golf {payment_reference(pk)}, thank you") == {pk}


MONEY = st.sampled_from(["240.00", "480.00", "720.00"]).map(Decimal)
CURRENCY = st.sampled_from(["GBP", "EUR"])
NAMES = ["Maren Thistlewood", "Idris Penhallow", "Łukasz Żółć"]
CANDIDATES = st.lists(
    st.builds(Candidate, st.integers(1, 9), st.sampled_from(NAMES), CURRENCY, MONEY, MONEY),
    max_size=6,
    unique_by=lambda c: c.pk,
)
TEXTS = st.lists(
    st.sampled_from([*NAMES, *(payment_reference(pk) for pk in range(1, 10)), "golf"]), max_size=3
).map(" ".join)
LINES = st.lists(
    st.builds(WaitingLine, st.integers(1, 99), MONEY, CURRENCY, TEXTS),
    max_size=8,
    unique_by=lambda w: w.pk,
)


@given(LINES, CANDIDATES)
def test_no_line_and_no_enrolment_is_certain_twice_and_no_currency_is_mixed(
    lines: list[WaitingLine], candidates: list[Candidate]
) -> None:
    found = suggest(lines, candidates)
    assert set(found) == {each.pk for each in lines}
    proposals = [s for many in found.values() for s in many]
    assert all(s.line.currency == s.candidate.currency for s in proposals)
    certain = [s for s in proposals if s.is_certain]
    assert len({s.line.pk for s in certain}) == len(certain)
    assert len({s.candidate.pk for s in certain}) == len(certain)
    assert all(s.line.amount <= s.candidate.due for s in certain)


@given(LINES, CANDIDATES)
def test_the_likelier_always_comes_first_and_nobody_twice(
    lines: list[WaitingLine], candidates: list[Candidate]
) -> None:
    for many in suggest(lines, candidates).values():
        scores = [s.score for s in many]
        assert scores == sorted(scores, reverse=True)
        assert len({s.candidate.pk for s in many}) == len(many) <= 3
