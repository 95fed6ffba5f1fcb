"""Enrolling by oneself, page by page, signed out."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.core import signing
from django.test import Client
from django.utils import timezone

from school.actions.drafts import KEPT_DAYS
from school.forms.enrolment_pages import TrapForm
from school.models import ConsentKind, Enrolment, EnrolmentDraft, Golfer, Message, School
from tests.factories import ConsentTextFactory, EnrolmentFactory, GolferFactory, SchoolFactory

pytestmark = pytest.mark.django_db

FIRST_DAY = date(2027, 5, 7)
ORDER = ["you", "golf", "consents", "send"]


@pytest.fixture
def school(db: None) -> School:
    for kind in ConsentKind.values:
        ConsentTextFactory.create(kind=kind, version=2, body=f"I agree to {kind}.")
    return SchoolFactory.create(starts_on=FIRST_DAY, capacity=2, deposit="240.00")


@pytest.fixture
def anybody() -> Client:
    return Client()


def you(**typed: str) -> dict[str, str]:
    return {
        "full_name": "Maren Thistlewood",
        "email": "Maren@example.org",
        "phone": "01632 960111",
        "birth_date": "1971-03-14",
        "handedness": "left",
        "handicap_index": "+2.1",
    } | typed


def minor(**typed: str) -> dict[str, str]:
    guardian = {
        "guardian_name": "Marguerite Castellane",
        "guardian_phone": "01632 960112",
        "guardian_email": "marguerite@example.org",
    }
    return you(full_name="Wren Castellane", birth_date="2013-06-03") | guardian | typed


def golf(**typed: str) -> dict[str, str]:
    return {
        "goals": "Straighter irons",
        "care_notes": "Hears badly on the left",
        "emergency_contact": "Per 01632 960113",
        "wants_club_hire": "on",
        "diet": "no nuts",
        "keep_together": "Łukasz",
    } | typed


def consents(**typed: str) -> dict[str, str]:
    return {"terms": "2", "risk": "2", "given_by": "Maren Thistlewood"} | typed


def began(seconds: float = 60) -> dict[str, str]:
    moment = timezone.now().timestamp() - seconds
    return {"began": signing.dumps(moment, salt=TrapForm.SALT), "website": ""}


def begun(anybody: Client, school: School, typed: dict[str, str] | None = None) -> EnrolmentDraft:
    anybody.post(f"/join/{school.pk}/start/", (typed or you()) | began())
    return EnrolmentDraft.objects.latest("pk")


def page_of(draft: EnrolmentDraft, name: str) -> str:
    return f"/join/d/{draft.token}/{name}/"


def filled(anybody: Client, school: School, **pages: dict[str, str]) -> EnrolmentDraft:
    draft = begun(anybody, school, pages.get("you"))
    anybody.post(page_of(draft, "golf"), pages.get("golf") or golf())
    anybody.post(page_of(draft, "consents"), pages.get("consents") or consents())
    return draft


def shown(answer: Any) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


def test_from_the_first_page_to_a_seat(anybody: Client, school: School) -> None:
    draft = filled(anybody, school)
    looked = shown(anybody.get(page_of(draft, "send")))
    for words in (
        "Maren Thistlewood",
        "+2.1",
        "no nuts",
        "£240.00 deposit",
        "Nothing is given back",
    ):
        assert words in looked
    answer = anybody.post(page_of(draft, "send"), follow=True)
    enrolment = school.enrolments.get()
    assert "You have a seat" in shown(answer)
    assert f"M{enrolment.pk:06d}" in answer.content.decode()
    assert (enrolment.seat, enrolment.goals) == (1, "Straighter irons")
    assert (enrolment.diet, enrolment.keep_together) == ("no nuts", "Łukasz")
    assert enrolment.wants_club_hire
    assert enrolment.golfer.care_notes == "Hears badly on the left"
    assert enrolment.golfer.handicap_index is not None
    assert f"{enrolment.golfer.handicap_index}" == "-2.1"
    assert enrolment.golfer.email == "maren@example.org"


def test_nothing_is_kept_before_somebody_has_typed(anybody: Client, school: School) -> None:
    assert anybody.get(f"/join/{school.pk}/start/").status_code == 200
    assert not EnrolmentDraft.objects.exists()


@pytest.mark.parametrize("name", ORDER)
def test_a_page_cannot_be_skipped(anybody: Client, school: School, name: str) -> None:
    draft = begun(anybody, school)
    answer = anybody.get(page_of(draft, name))
    if name in ("you", "golf"):
        assert answer.status_code == 200
    else:
        assert answer.headers["Location"] == page_of(draft, "golf")


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("full_name", "", "required"),
        ("full_name", "See https://example.org", "Write the name alone"),
        ("email", "", "required"),
        ("email", "no-address", "valid email"),
        ("phone", "call me", "with its digits"),
        ("birth_date", "", "required"),
        ("birth_date", "2999-01-01", "in the future"),
        ("handedness", "", "Choose right-handed or left-handed"),
        ("handicap_index", "99", "between +10.0 and 54.0"),
        ("handicap_index", "+10.1", "between +10.0 and 54.0"),
        ("handicap_index", "", "tick “None yet”"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_the_rest_is_kept(
    anybody: Client, school: School, field: str, typed: str, words: str
) -> None:
    answer = anybody.post(f"/join/{school.pk}/start/", you(**{field: typed}) | began())
    assert words in str(answer.context["form"].errors[field])
    kept = "01632 960111" if field != "phone" else "Maren Thistlewood"
    assert kept in answer.content.decode()
    assert not EnrolmentDraft.objects.exists()


def test_a_handicap_and_none_yet_contradict(anybody: Client, school: School) -> None:
    answer = anybody.post(f"/join/{school.pk}/start/", you(no_handicap="on") | began())
    assert "not both" in str(answer.context["form"].errors["handicap_index"])


def test_none_yet_is_an_answer(anybody: Client, school: School) -> None:
    draft = filled(anybody, school, you=you(handicap_index="", no_handicap="on"))
    anybody.post(page_of(draft, "send"))
    assert Golfer.objects.get().handicap_index is None


@pytest.mark.parametrize("missing", ["guardian_name", "guardian_phone", "guardian_email"])
def test_a_minor_comes_only_with_a_guardian(anybody: Client, school: School, missing: str) -> None:
    answer = anybody.post(f"/join/{school.pk}/start/", minor(**{missing: ""}) | began())
    assert "only with a guardian" in str(answer.context["form"].errors[missing])


def test_the_day_before_the_birthday_is_a_minor_and_the_day_itself_is_not(
    anybody: Client, school: School
) -> None:
    url = f"/join/{school.pk}/start/"
    answer = anybody.post(url, you(birth_date="2009-05-08") | began())
    assert "guardian_name" in answer.context["form"].errors
    assert anybody.post(url, you(birth_date="2009-05-07") | began()).status_code == 302


def test_for_a_minor_the_guardian_agrees(anybody: Client, school: School) -> None:
    draft = filled(anybody, school, you=minor())
    answer = anybody.get(page_of(draft, "consents"))
    assert "the guardian gives consent" in shown(answer)
    anybody.post(page_of(draft, "consents"), consents(given_by="marguerite  castellane"))
    anybody.post(page_of(draft, "send"))
    given = school.enrolments.get().consents.all()
    assert {(c.given_by, c.by_guardian) for c in given} == {("marguerite castellane", True)}
    assert Golfer.objects.get().guardian_email == "marguerite@example.org"


def test_an_adult_has_no_guardian_whatever_a_hidden_field_says(
    anybody: Client, school: School
) -> None:
    draft = filled(anybody, school, you=minor(birth_date="1971-03-14", guardian_phone="x"))
    anybody.post(page_of(draft, "send"))
    assert Golfer.objects.get().guardian_name == ""


def test_no_box_is_ticked_for_anybody(anybody: Client, school: School) -> None:
    draft = begun(anybody, school)
    anybody.post(page_of(draft, "golf"), golf())
    text = anybody.get(page_of(draft, "consents")).content.decode()
    boxes = re.findall(r'<input type="checkbox"[^>]*>', text)
    assert len(boxes) == len(ConsentKind.values)
    assert not any("checked" in box for box in boxes)
    for kind in ConsentKind.values:
        assert f"I agree to {kind}." in text


@pytest.mark.parametrize("needed", ["terms", "risk"])
def test_terms_and_risk_are_needed(anybody: Client, school: School, needed: str) -> None:
    draft = filled(anybody, school, consents=consents(**{needed: ""}))
    answer = anybody.get(page_of(draft, "send"))
    assert answer.headers["Location"] == page_of(draft, "consents")
    form = anybody.get(page_of(draft, "consents")).context["form"]
    assert "tick the box" in str(form.errors[needed])
    assert list(form.errors) == [needed]


def test_each_consent_is_recorded_with_its_text_time_and_giver(
    anybody: Client, school: School
) -> None:
    before = timezone.now()
    draft = filled(anybody, school, consents=consents(filming="2", news="2"))
    anybody.post(page_of(draft, "send"))
    given = {c.text.kind: c for c in school.enrolments.get().consents.select_related("text")}
    assert set(given) == {"terms", "risk", "filming", "news"}
    for consent in given.values():
        assert consent.text.version == 2
        assert consent.given_by == "Maren Thistlewood"
        assert before <= consent.given_at <= timezone.now()
        assert consent.recorded_by is None


def test_words_that_changed_must_be_read_again(anybody: Client, school: School) -> None:
    draft = filled(anybody, school, consents=consents(filming="2"))
    ConsentTextFactory.create(kind="filming", version=3, body="Newer words.")
    assert anybody.post(page_of(draft, "send")).headers["Location"] == page_of(draft, "consents")
    answer = anybody.get(page_of(draft, "consents"))
    assert "The words have changed" in shown(answer)
    box = re.search(r'<input type="checkbox"[^>]*name="filming"[^>]*>', answer.content.decode())
    assert box is not None
    assert "checked" not in box[0]
    assert 'value="3"' in box[0]


def test_without_terms_nobody_joins(anybody: Client) -> None:
    school = SchoolFactory.create(starts_on=FIRST_DAY)
    ConsentTextFactory.create(kind="risk", version=2)
    draft = filled(anybody, school)
    assert "has not written its terms yet" in shown(anybody.get(page_of(draft, "consents")))
    assert not Enrolment.objects.exists()


def test_a_draft_goes_on_where_it_stopped(anybody: Client, school: School) -> None:
    draft = begun(anybody, school)
    anybody.post(page_of(draft, "golf"), golf(emergency_contact="", later="yes"))
    elsewhere = Client()
    answer = elsewhere.get(f"/join/d/{draft.token}/", follow=True)
    assert answer.redirect_chain[-1][0] == page_of(draft, "golf")
    assert "Straighter irons" in answer.content.decode()


def test_who_changes_an_answer_comes_straight_back(anybody: Client, school: School) -> None:
    draft = filled(anybody, school)
    answer = anybody.post(page_of(draft, "golf"), golf(diet="no milk"))
    assert answer.headers["Location"] == page_of(draft, "send")
    assert "no milk" in shown(anybody.get(page_of(draft, "send")))


def test_the_link_is_shown_and_mailed_to_oneself(anybody: Client, school: School) -> None:
    draft = begun(anybody, school)
    assert draft.token in anybody.get(page_of(draft, "later")).content.decode()
    for _ in range(4):
        answer = anybody.post(page_of(draft, "later"), follow=True)
    assert "links went to Maren@example.org within a day" in shown(answer)
    mailed = Message.objects.filter(kind="resume")
    assert {message.to for message in mailed} == {"maren@example.org"}
    assert len(mailed) == 3
    assert f"/join/d/{draft.token}/" in mailed[0].body


def test_sending_twice_enrols_once(anybody: Client, school: School) -> None:
    draft = filled(anybody, school)
    for _ in range(2):
        answer = anybody.post(page_of(draft, "send"))
        assert answer.headers["Location"] == page_of(draft, "done")
    assert school.enrolments.count() == 1


@pytest.mark.parametrize("name", ["you", "golf", "later", ""])
def test_a_sent_draft_shows_what_came_of_it(anybody: Client, school: School, name: str) -> None:
    draft = filled(anybody, school)
    anybody.post(page_of(draft, "send"))
    url = page_of(draft, name) if name else f"/join/d/{draft.token}/"
    assert "You have a seat" in shown(anybody.get(url, follow=True))
    anybody.post(url, golf(goals="Other goals"))
    assert school.enrolments.get().goals == "Straighter irons"


def test_what_is_on_file_is_never_shown(anybody: Client, school: School) -> None:
    known = {"full_name": "Maren Thistlewood", "email": "maren@example.org"}
    GolferFactory.create(**known, care_notes="Asthma", guardian_name="Somebody", phone="112")
    draft = filled(anybody, school)
    texts = [shown(anybody.get(page_of(draft, name))) for name in ORDER]
    texts.append(shown(anybody.post(page_of(draft, "send"), follow=True)))
    second = filled(anybody, school)
    texts.append(shown(anybody.post(page_of(second, "send"))))
    assert "You have a seat" in texts[-2]
    assert "We cannot finish this here" in texts[-1]
    assert not any(word in text for text in texts for word in ("Asthma", "Somebody", "112"))


def test_what_was_not_sent_has_no_result(anybody: Client, school: School) -> None:
    draft = begun(anybody, school)
    answer = anybody.get(page_of(draft, "done"))
    assert answer.headers["Location"] == f"/join/d/{draft.token}/"


def test_full_while_typing_offers_the_list_and_loses_nothing(
    anybody: Client, school: School
) -> None:
    draft = filled(anybody, school)
    assert "Join the waiting list" not in shown(anybody.get(page_of(draft, "send")))
    EnrolmentFactory.create(school=school)
    EnrolmentFactory.create(school=school)
    answer = anybody.post(page_of(draft, "send"))
    text = shown(answer)
    assert "The last seat was taken while you were typing" in text
    assert "Straighter irons" in text
    assert "Join the waiting list" in text
    assert "When it is due, once a seat is yours" in text
    assert not Golfer.objects.filter(full_name="Maren Thistlewood").exists()
    answer = anybody.post(page_of(draft, "send"), {"may_wait": "on"}, follow=True)
    assert "You are on the waiting list" in shown(answer)
    assert "nothing to pay now" in shown(answer)
    assert school.enrolments.get(golfer__full_name="Maren Thistlewood").state == "waiting"


@pytest.mark.parametrize("how", ["closed", "begun"])
def test_a_school_that_takes_nobody_says_so_and_keeps_what_was_typed(
    anybody: Client, school: School, how: str
) -> None:
    draft = filled(anybody, school)
    if how == "closed":
        school.state, school.closed_at = School.State.CLOSED, timezone.now()
    else:
        school.starts_on = timezone.localdate()
    school.save(update_fields=["state", "closed_at", "starts_on"])
    answer = anybody.post(page_of(draft, "send"))
    assert "takes nobody now" in shown(answer)
    assert "Straighter irons" in shown(answer)
    assert not Enrolment.objects.exists()
    assert anybody.get(f"/join/{school.pk}/start/").headers["Location"] == f"/join/{school.pk}/"


@pytest.mark.parametrize(
    ("caught", "words"),
    [
        ({"website": "https://example.org"}, "that people do not see"),
        ({"seconds": "1"}, "quicker than anybody types"),
        ({"began": "yesterday"}, "was not opened here"),
    ],
)
def test_a_program_is_caught_and_a_person_is_told(
    anybody: Client, school: School, caught: dict[str, str], words: str
) -> None:
    trap = began(float(caught.get("seconds", 60))) | caught
    answer = anybody.post(f"/join/{school.pk}/start/", you() | trap)
    assert words in shown(answer)
    assert "Maren Thistlewood" in answer.content.decode()
    assert not EnrolmentDraft.objects.exists()
    fresh = answer.context["trap"].initial["began"]
    assert signing.loads(fresh, salt=TrapForm.SALT) == pytest.approx(
        timezone.now().timestamp(), abs=5
    )


def test_an_old_draft_is_refused_in_words(anybody: Client, school: School) -> None:
    draft = filled(anybody, school)
    draft.changed_at = timezone.now() - timedelta(days=KEPT_DAYS, minutes=1)
    draft.save(update_fields=["changed_at"])
    for page in [*ORDER, "later", "done"]:
        answer = anybody.post(page_of(draft, page))
        assert answer.status_code == 410
        assert "This link is too old" in shown(answer)
    assert not Enrolment.objects.exists()


@pytest.mark.parametrize("url", ["/join/d/made-up/", "/join/d/made-up/you/", "/join/999/start/"])
def test_what_is_not_there_is_not_found(anybody: Client, school: School, url: str) -> None:
    assert anybody.get(url).status_code == 404


def test_there_is_no_fifth_page(anybody: Client, school: School) -> None:
    assert anybody.get(page_of(begun(anybody, school), "fifth")).status_code == 404
