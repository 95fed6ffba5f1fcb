"""From a draft to a place: once, whole, and without telling a stranger what is on file."""

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from django.utils import timezone

from school.actions.drafts import (
    KEPT_DAYS,
    clear_old_drafts,
    finish_draft,
    save_page,
    start_draft,
)
from school.actions.sweeping import DUTIES
from school.details import Agreement, GolferDetails, Wishes
from school.errors import (
    AskTheDesk,
    ConsentMissing,
    DraftIsOver,
    GuardianNeeded,
    SchoolIsFull,
    SchoolIsNotOpen,
)
from school.models import AuditEntry, Consent, Enrolment, EnrolmentDraft, Golfer, School
from tests.factories import ConsentTextFactory, EnrolmentFactory, GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db

MAREN = GolferDetails(
    full_name="Maren Thistlewood",
    handedness="left",
    email="maren@example.org",
    birth_date=date(1971, 3, 14),
    care_notes="A sprained wrist",
    emergency_contact="Per 01632 960113",
)
WREN = GolferDetails(
    full_name="Wren Castellane",
    handedness="right",
    email="family@example.org",
    birth_date=date(2013, 6, 3),
    guardian_name="Marguerite Castellane",
    guardian_phone="01632 960112",
)
AGREED = Agreement(frozenset({"terms", "risk"}), "Maren Thistlewood")
READ = {"terms": 1, "risk": 1}


@pytest.fixture
def draft(db: None) -> EnrolmentDraft:
    for kind in READ:
        ConsentTextFactory.create(kind=kind)
    return start_draft(school=SchoolFactory.create(capacity=2), answers={"full_name": "Maren"})


def finished(draft: EnrolmentDraft, **otherwise: Any) -> Enrolment:
    given: dict[str, Any] = {
        "details": MAREN,
        "wishes": Wishes(goals="Irons"),
        "agreement": AGREED,
        "versions": READ,
        "may_wait": False,
    }
    return finish_draft(draft=draft, **(given | otherwise))


def again(draft: EnrolmentDraft) -> EnrolmentDraft:
    return start_draft(school=draft.school, answers={})


def on_file(**columns: Any) -> Golfer:
    golfer: Golfer = GolferFactory.create(
        **{"full_name": "Maren Thistlewood", "email": "maren@example.org"} | columns
    )
    return golfer


def test_a_token_cannot_be_guessed(draft: EnrolmentDraft) -> None:
    assert len(draft.token) == 43
    assert draft.token != again(draft).token


def test_the_place_the_consents_and_the_end_are_there_together(draft: EnrolmentDraft) -> None:
    enrolment = finished(draft)
    draft.refresh_from_db()
    assert draft.enrolment == enrolment
    assert (enrolment.state, enrolment.seat, enrolment.goals) == ("seated", 1, "Irons")
    assert {c.text.kind for c in enrolment.consents.all()} == {"terms", "risk"}


def test_a_draft_is_finished_once(draft: EnrolmentDraft) -> None:
    assert finished(draft) == finished(draft, details=WREN)
    assert Enrolment.objects.count() == 1
    assert Consent.objects.count() == 2


def test_what_was_sent_is_not_typed_over(draft: EnrolmentDraft) -> None:
    finished(draft)
    with pytest.raises(DraftIsOver):
        save_page(draft=draft, page="golf", answers={"goals": "Others"})


def test_a_page_is_kept_beside_the_others_and_within_reason(draft: EnrolmentDraft) -> None:
    saved = save_page(draft=draft, page="golf", answers={"goals": "x" * 9000})
    assert saved.answers["you"] == {"full_name": "Maren"}
    assert len(saved.answers["golf"]["goals"]) == 4000


def test_who_wants_a_seat_is_not_put_on_the_list(draft: EnrolmentDraft) -> None:
    EnrolmentFactory.create_batch(2, school=draft.school)
    with pytest.raises(SchoolIsFull):
        finished(draft)
    assert not Golfer.objects.filter(full_name=MAREN.full_name).exists()
    assert not Consent.objects.exists()
    assert finished(draft, may_wait=True).state == "waiting"


@pytest.mark.parametrize("how", ["draft", "begun"])
def test_a_school_that_takes_nobody_refuses(draft: EnrolmentDraft, how: str) -> None:
    if how == "draft":
        School.objects.update(state=School.State.DRAFT)
    else:
        School.objects.update(starts_on=timezone.localdate())
    with pytest.raises(SchoolIsNotOpen):
        finished(draft)
    draft.school.refresh_from_db()
    with pytest.raises(SchoolIsNotOpen):
        again(draft)


@pytest.mark.parametrize("kinds", [set(), {"terms"}, {"risk"}])
def test_needed_consents_are_needed(draft: EnrolmentDraft, kinds: set[str]) -> None:
    with pytest.raises(ConsentMissing):
        finished(draft, agreement=Agreement(frozenset(kinds), "Maren Thistlewood"))


def test_words_that_nobody_read_are_not_agreed_to(draft: EnrolmentDraft) -> None:
    ConsentTextFactory.create(kind="risk", version=2)
    with pytest.raises(ConsentMissing, match="have changed"):
        finished(draft)
    assert not Enrolment.objects.exists()


def test_a_known_golfer_is_attached_and_only_what_is_empty_is_filled(
    draft: EnrolmentDraft,
) -> None:
    known = on_file(care_notes="Asthma", handedness="right", emergency_contact="")
    enrolment = finished(draft, details=replace(MAREN, full_name="maren thistlewood"))
    known.refresh_from_db()
    assert enrolment.golfer == known
    assert known.full_name == "Maren Thistlewood"
    assert (known.care_notes, known.handedness) == ("Asthma", "right")
    assert known.emergency_contact == "Per 01632 960113"
    assert known.birth_date == MAREN.birth_date


def test_what_is_said_otherwise_is_in_the_trail_for_the_desk(draft: EnrolmentDraft) -> None:
    known = on_file(care_notes="Asthma", handedness="right")
    finished(draft)
    entry = AuditEntry.objects.get(verb="say_otherwise")
    assert entry.subject == f"school.golfer {known.pk}"
    assert entry.actor is None
    assert entry.detail == {"typed": {"handedness": "left", "care_notes": "A sprained wrist"}}


def test_who_says_the_same_leaves_no_trail(draft: EnrolmentDraft) -> None:
    finished(draft)
    finished(start_draft(school=SchoolFactory.create(), answers={}))
    assert Golfer.objects.count() == 1
    assert not AuditEntry.objects.filter(verb="say_otherwise").exists()


def test_a_birth_date_and_a_name_do_not_stand_for_somebody(draft: EnrolmentDraft) -> None:
    known = on_file(email="other@example.org", birth_date=MAREN.birth_date)
    assert finished(draft).golfer != known


def test_who_was_merged_is_known_as_the_other(draft: EnrolmentDraft) -> None:
    other = on_file(email="new@example.org")
    on_file(merged_into=other)
    assert finished(draft).golfer == other


def test_one_refusal_for_all_that_is_on_file(draft: EnrolmentDraft) -> None:
    """In the school already, another guardian, a child who is an adult on file: the same words."""
    finished(draft)
    wren = GolferFactory.create(
        full_name=WREN.full_name,
        email=WREN.email,
        birth_date=WREN.birth_date,
        guardian_name="Somebody Else",
        guardian_phone="01632 960114",
    )
    guardian_agrees = Agreement(AGREED.kinds, WREN.guardian_name)
    words = set()
    for details, agreement in [(MAREN, AGREED), (WREN, guardian_agrees)]:
        with pytest.raises(AskTheDesk) as refused:
            finished(again(draft), details=details, agreement=agreement)
        words.add(str(refused.value))
    Golfer.objects.filter(pk=wren.pk).update(birth_date=date(1980, 1, 1))
    with pytest.raises(AskTheDesk) as refused:
        finished(again(draft), details=WREN, agreement=guardian_agrees)
    words.add(str(refused.value))
    assert len(words) == 1
    assert "Somebody Else" not in words.pop()
    assert Enrolment.objects.count() == 1


def test_the_desk_finds_in_the_trail_why_it_was_refused(draft: EnrolmentDraft) -> None:
    finished(draft)
    second = again(draft)
    with pytest.raises(AskTheDesk):
        finished(second)
    entry = AuditEntry.objects.get(verb="refuse_draft")
    assert entry.subject == f"school.enrolmentdraft {second.pk}"
    assert "already enrolled" in entry.detail["why"]


def test_for_a_new_minor_another_than_the_guardian_is_told_why(draft: EnrolmentDraft) -> None:
    with pytest.raises(GuardianNeeded):
        finished(draft, details=WREN)
    assert not Golfer.objects.exists()


def test_old_drafts_are_forgotten_and_enrolments_stay(draft: EnrolmentDraft) -> None:
    sent, young = again(draft), again(draft)
    finished(sent)
    old = timezone.now() - timedelta(days=KEPT_DAYS, seconds=1)
    EnrolmentDraft.objects.filter(pk__in=[draft.pk, sent.pk]).update(changed_at=old)
    assert clear_old_drafts() == 2
    assert EnrolmentDraft.objects.get() == young
    assert Enrolment.objects.count() == 1


def test_clearing_is_a_duty() -> None:
    assert clear_old_drafts in DUTIES
