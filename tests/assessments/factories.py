"""Rows and inputs of the assessments app for tests. Every default is valid."""

from io import BytesIO
from typing import Any
from uuid import uuid4

import factory
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from factory.django import DjangoModelFactory
from PIL import Image

from assessments.impact.geometry import CLICK_SD_PX
from assessments.models import (
    Drill,
    DrillRule,
    Entry,
    FilmingPlace,
    Measure,
    PracticeItem,
    PracticePlan,
    Priority,
    Report,
    Still,
    Study,
)
from assessments.reports import files
from lessons.models import Session
from school.models import Account, Enrolment
from tests.assessments.impact.marks import STILLS, rendered
from tests.factories import EnrolmentFactory
from tests.lessons.factories import (
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    instructor_for,
)

STRONG, FLIP = "01_iron_right_strong", "03_iron_right_flip"


class FilmingPlaceFactory(DjangoModelFactory[FilmingPlace]):
    """A camera on its spot of which nothing was measured."""

    class Meta:
        model = FilmingPlace

    name = factory.Sequence(lambda n: f"Bay {n}")


class DrillFactory(DjangoModelFactory[Drill]):
    """A drill that needs a putter and balls and that no rule proposes."""

    class Meta:
        model = Drill

    slug = factory.Sequence(lambda n: f"gate-{n}")
    name = factory.Sequence(lambda n: f"Gate {n}")
    purpose = "Start the putt on its line."
    set_up = "Push two tees in, a ball and a finger apart."
    steps = "Aim through the gate.\nPutt through it.\nCount those that pass."
    count = "10 putts, three times"
    minutes = 10
    equipment = ["putter", "balls"]
    caution = "Pull the tees when done."
    picture = "putt_gate"


class DrillRuleFactory(DjangoModelFactory[DrillRule]):
    class Meta:
        model = DrillRule

    kind = "putting"
    measure = "make_rate_2m"
    when = "low"
    drill = factory.SubFactory(DrillFactory)
    why = "Your {measure} is {value}; usual is {usual}. The gate shows the start line."


class StudyFactory(DjangoModelFactory[Study]):
    """A study under way."""

    class Meta:
        model = Study

    place = factory.SubFactory(FilmingPlaceFactory)
    name = "Spring"


class StillFactory(DjangoModelFactory[Still]):
    """The row of a still; its picture is whatever `picture__data` says."""

    class Meta:
        model = Still

    id = factory.LazyFunction(uuid4)
    enrolment = factory.SubFactory(EnrolmentFactory)
    phase = "intake"
    club_class = "iron"
    handedness = "right"
    picture = factory.django.FileField(filename="still.jpg")
    sha256 = factory.LazyFunction(lambda: uuid4().hex * 2)
    width_px = 1280
    height_px = 960


class EntryFactory(DjangoModelFactory[Entry]):
    """A putting entry without measures."""

    class Meta:
        model = Entry

    id = factory.LazyFunction(uuid4)
    enrolment = factory.SubFactory(EnrolmentFactory)
    kind = "putting"
    phase = "intake"
    payload = factory.LazyFunction(lambda: putts(9, 5, 3))
    payload_sha256 = "0" * 64


class MeasureFactory(DjangoModelFactory[Measure]):
    class Meta:
        model = Measure

    entry = factory.SubFactory(EntryFactory)
    name = "make_rate_2m"
    value = 50.0
    unit = "%"
    standard_uncertainty = 13.4
    source = "5 of 10 holed; Wilson's interval"


def made_report(attendee: Enrolment, *, version: int = 1, content: bytes = b"%PDF-") -> Report:
    """A report that the worker has put in place."""
    name = f"reports/report-{attendee.pk}-{uuid4().hex}.pdf"
    files.put(name, content)
    return Report.objects.create(
        enrolment=attendee,
        version=version,
        state="done",
        file=name,
        content_sha256="0" * 64,
        pages=1,
        finished_at=timezone.now(),
    )


class PracticePlanFactory(DjangoModelFactory[PracticePlan]):
    """A plan with nothing in it, as last saved by nobody."""

    class Meta:
        model = PracticePlan

    enrolment = factory.SubFactory(EnrolmentFactory)
    minutes_a_week = 60
    days_a_week = 3


class PriorityFactory(DjangoModelFactory[Priority]):
    class Meta:
        model = Priority

    plan = factory.SubFactory(PracticePlanFactory)
    position = 1
    title = "Start the ball on line"
    why = "Fewer putts of two metres fell than before."


class PracticeItemFactory(DjangoModelFactory[PracticeItem]):
    class Meta:
        model = PracticeItem

    plan = factory.SubFactory(PracticePlanFactory)
    week = 1
    position = 1
    drill = factory.SubFactory(DrillFactory)
    days = 2
    minutes = 10
    count = "10 balls"


def putts_got_worse(enrolment: Enrolment) -> None:
    """Nine of ten putts of two metres fell at intake, two at exit."""
    for phase, value, low, high in (("intake", 90.0, 60.0, 98.0), ("exit", 20.0, 6.0, 51.0)):
        entry = EntryFactory.create(enrolment=enrolment, phase=phase)
        MeasureFactory.create(entry=entry, value=value, low=low, high=high)


def session_at(account: Account, kind: str, phase: str = "intake", squad: int = 1) -> Session:
    """A published session that the account teaches, where `kind` is recorded of a squad."""
    session: Session = SessionFactory.create(
        instructor=instructor_for(account),
        visit__phase=phase,
        visit__station__slug=kind.replace("_", "-"),
        visit__station__entry_kind=kind,
        squad=SquadFactory.create(),
        plan__school=factory.SelfAttribute("..squad.school"),
    )
    SquadMemberFactory.create_batch(squad, squad=session.squad)
    return session


def attendee_of(session: Session, number: int = 0) -> Enrolment:
    return session.squad.members.all()[number].enrolment


def marks_of(name: str = STRONG) -> dict[str, list[float]]:
    marks: dict[str, list[float]] = rendered(name)["landmarks_px"]
    return marks


def marking(name: str = STRONG) -> dict[str, Any]:
    return {"landmarks": marks_of(name), "click_sd_px": CLICK_SD_PX}


def place_settings(**changed: Any) -> dict[str, Any]:
    """What the form of a filming place sends."""
    sent = {"name": "Range", "joints": "marked", "click_sd_px": "1.5", "step_mm": "25.4"}
    return sent | {"is_in_use": "on"} | changed


def putts(*holed: int, balls: int = 10) -> dict[str, Any]:
    """Balls holed from 1, 2, 3 m."""
    return {
        "putts": [
            {"distance_m": metres, "holed": count, "balls": balls}
            for metres, count in enumerate(holed, 1)
        ]
    }


def picture(size: tuple[int, int] = (640, 480), mode: str = "RGB", **fill: Any) -> Image.Image:
    return Image.new(mode, size, **fill)


def upload_of(image: Image.Image, kind: str = "JPEG", **options: Any) -> SimpleUploadedFile:
    out = BytesIO()
    image.save(out, kind, **options)
    return SimpleUploadedFile(f"still.{kind.lower()}", out.getvalue())


def rendering(name: str = STRONG) -> SimpleUploadedFile:
    """A rendered still of the house, as a camera would give it."""
    return SimpleUploadedFile(f"{name}.jpg", (STILLS / f"{name}.jpg").read_bytes(), "image/jpeg")
