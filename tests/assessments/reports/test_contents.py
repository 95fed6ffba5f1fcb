"""What the report prints of everything that can be recorded, and of next to nothing."""

import re
from pathlib import Path

import pytest
from django.conf import settings

from assessments.reports.compose import compose
from assessments.reports.gather import gather
from assessments.reports.render import render
from school.models import Account, Enrolment
from tests.assessments.factories import FLIP, putts
from tests.assessments.reports import scene
from tests.assessments.reports.test_render import filled
from tests.factories import EnrolmentFactory

pytestmark = pytest.mark.django_db


def page_of(enrolment: Enrolment) -> str:
    html = compose(gather(Enrolment.objects.get(pk=enrolment.pk))).html
    return re.sub(r"\s+", " ", html)


def words_of(enrolment: Enrolment) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page_of(enrolment)))


@pytest.fixture
def everything(instructor: Account) -> Enrolment:
    return scene.everything(instructor)


def test_every_station_has_its_part(everything: Enrolment) -> None:
    words = words_of(everything)
    for title in ("Strike: iron", "Bunker", "On course", "Short game", "Physical screen"):
        assert title in words, title
    assert words.count("Measured between the first day and the last") == 3


def test_the_plan_stands_week_by_week_and_each_drill_once(everything: Enrolment) -> None:
    words = words_of(everything)
    assert "Start the ball on line. Fewer putts of two metres fell than before." in words
    assert "Six weeks, 60 minutes a week on up to 3 days." in words
    assert words.count("Set-up.") == len(scene.DRILLS)
    assert words.count("Take care.") == len(scene.DRILLS)
    assert "Children practise with an adult beside them." in words


def test_what_a_screen_flags_is_left_to_licensed_people(everything: Enrolment) -> None:
    page = page_of(everything)
    part = page[page.index("Physical screen") :].split("</section>")[0]
    assert "See a licensed professional before it is worked on." in part
    assert "below what is usual" not in part
    standing = page[page.index("What is strong") :].split("</section>")[0]
    assert "Physical screen" not in standing


def test_everything_fills_its_pages_on_letter_paper_too(
    everything: Enrolment, tmp_path: Path
) -> None:
    everything.school.paper = "letter"
    everything.school.save(update_fields=["paper"])
    pdf = render(compose(gather(everything)))
    assert pdf.pages <= 10
    assert min(filled(pdf, tmp_path)) > 0.5


def test_a_golfer_who_left_on_day_two_has_no_holes(instructor: Account) -> None:
    enrolment = EnrolmentFactory.create()
    scene.impact(enrolment, "intake", FLIP)
    scene.record(enrolment, "putting", "intake", putts(9, 5, 3), by=instructor)
    page = page_of(enrolment)
    assert "this report compares nothing" in page
    assert page.count("<img") == 2  # the cover, and the still beside its table
    assert ">Exit<" not in page


def test_with_a_paragraph_alone_it_says_that_nothing_was_measured(
    instructor: Account, tmp_path: Path
) -> None:
    enrolment = EnrolmentFactory.create(golfer__full_name="משה כהן")
    scene.record(enrolment, "coach_paragraph", "exit", {"text": scene.PARAGRAPH}, by=instructor)
    words = words_of(enrolment)
    assert "Nothing was measured of you at this school" in words
    assert "How sure we are" not in words
    assert "licensed professional" in words
    assert render(compose(gather(enrolment))).pages == 2


@pytest.mark.parametrize(
    ("distance", "speed", "said"), [("yd", "mph", "Up by 9 yd"), ("m", "m/s", "Up by 8 m")]
)
def test_it_speaks_in_the_units_of_the_golfer(
    distance: str, speed: str, said: str, instructor: Account
) -> None:
    enrolment = scene.full_school(
        instructor, golfer__distances_in=distance, golfer__speeds_in=speed
    )
    words = words_of(enrolment)
    assert said in words
    assert f"Ball speed {speed}" in words


def test_a_left_hander_has_drills_turned_round(instructor: Account) -> None:
    enrolment = EnrolmentFactory.create(golfer__handedness="left")
    scene.record(enrolment, "putting", "exit", putts(9, 5, 3), by=instructor)
    scene.planned(enrolment, "over-the-towel")
    assert "scale(-1" in page_of(enrolment)


def test_a_still_tells_its_readings_to_those_who_do_not_see_it(instructor: Account) -> None:
    alt = re.findall(r'alt="(Exit still[^"]+)"', page_of(scene.full_school(instructor)))
    assert len(alt) == 2
    assert re.search(r"Forearm-line offset \+\d\.\d ± \d\.\d ball diameters", alt[0])


def test_a_name_of_120_letters_is_cut_at_the_foot_alone(instructor: Account) -> None:
    name = ("Maximiliana " * 10)[:120]
    enrolment = EnrolmentFactory.create(golfer__full_name=name)
    scene.record(enrolment, "putting", "exit", putts(9, 5, 3), by=instructor)
    page = page_of(enrolment)
    assert f">{name}</h1>" in page
    assert re.search(r'class="golfer">[^<]{1,47}…<', page)


PAIRS = [("ink", "paper"), ("faint", "paper"), ("flag", "paper"), ("ink", "#faf7f0")]


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


@pytest.mark.parametrize(("text", "ground"), PAIRS)
def test_print_has_contrast(text: str, ground: str) -> None:
    sheet = (settings.BASE_DIR / "templates" / "pdf" / "base.css").read_text()
    token = dict(re.findall(r"--(\w+): (#\w{6});", sheet))
    light, dark = sorted(
        (luminance(token.get(colour, colour)) for colour in (text, ground)), reverse=True
    )
    assert (light + 0.05) / (dark + 0.05) >= 4.5
