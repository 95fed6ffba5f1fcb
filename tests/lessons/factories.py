"""Rows of the lessons app for tests. Every default is valid."""

from datetime import UTC, datetime, time, timedelta
from typing import Any

import factory
from factory.django import DjangoModelFactory

from lessons.models import (
    Bay,
    Feature,
    Hours,
    Instructor,
    Place,
    Plan,
    Session,
    Squad,
    SquadMember,
    Station,
    Trouble,
    Visit,
)
from school.models import Account, School
from tests.factories import EnrolmentFactory, SchoolFactory, StaffFactory


class PlaceFactory(DjangoModelFactory[Place]):
    class Meta:
        model = Place
        django_get_or_create = ("slug",)

    slug = "range"
    name = "Range"


class BayFactory(DjangoModelFactory[Bay]):
    class Meta:
        model = Bay
        skip_postgeneration_save = True

    slug = factory.Sequence(lambda n: f"bay-{n}")
    name = factory.Sequence(lambda n: f"Bay {n}")
    place = factory.SubFactory(PlaceFactory)

    @factory.post_generation  # type: ignore[untyped-decorator]
    def features(self, create: bool, slugs: Any, **kwargs: Any) -> None:
        for slug in slugs or ():
            self.features.add(Feature.objects.get_or_create(slug=slug, defaults={"name": slug})[0])


class StationFactory(DjangoModelFactory[Station]):
    class Meta:
        model = Station
        django_get_or_create = ("slug",)

    slug = "impact"
    name = factory.LazyAttribute(lambda station: station.slug.capitalize())
    entry_kind = ""


class VisitFactory(DjangoModelFactory[Visit]):
    class Meta:
        model = Visit

    station = factory.SubFactory(StationFactory)
    slug = factory.Sequence(lambda n: f"visit-{n}")
    name = factory.Sequence(lambda n: f"Visit {n}")


class InstructorFactory(DjangoModelFactory[Instructor]):
    """Give `staff` or let a new teacher be made; `teaches` lists stations."""

    class Meta:
        model = Instructor
        skip_postgeneration_save = True

    staff = factory.SubFactory(StaffFactory, teaches=True)

    @factory.post_generation  # type: ignore[untyped-decorator]
    def teaches(self, create: bool, stations: Any, **kwargs: Any) -> None:
        self.stations.set(stations or ())


class SquadFactory(DjangoModelFactory[Squad]):
    class Meta:
        model = Squad

    school = factory.SubFactory(SchoolFactory)
    number = factory.LazyAttribute(lambda squad: squad.school.squads.count() + 1)


class SquadMemberFactory(DjangoModelFactory[SquadMember]):
    class Meta:
        model = SquadMember

    squad = factory.SubFactory(SquadFactory)
    enrolment = factory.SubFactory(EnrolmentFactory, school=factory.SelfAttribute("..squad.school"))
    place = factory.LazyAttribute(lambda member: member.squad.members.count() + 1)


class PlanFactory(DjangoModelFactory[Plan]):
    """A plan that was found and not published."""

    class Meta:
        model = Plan

    class Params:
        published = factory.Trait(
            is_published=True, published_at=datetime(2027, 5, 1, 12, tzinfo=UTC)
        )

    school = factory.SubFactory(SchoolFactory)
    state = Plan.State.DONE


class SessionFactory(DjangoModelFactory[Session]):
    """The first slot of the school's first day, with a squad of one attendee."""

    class Meta:
        model = Session

    plan = factory.SubFactory(PlanFactory, published=True)
    visit = factory.SubFactory(
        VisitFactory, programme=factory.SelfAttribute("..plan.school.programme")
    )
    squad = factory.LazyAttribute(
        lambda session: SquadMemberFactory.create(squad__school=session.plan.school).squad
    )
    bay = factory.SubFactory(BayFactory)
    instructor = factory.SubFactory(InstructorFactory)
    starts_at = factory.LazyAttribute(lambda session: session.plan.school.slot_instant(0, 0))
    ends_at = factory.LazyAttribute(lambda session: session.starts_at + timedelta(minutes=45))


class TroubleFactory(DjangoModelFactory[Trouble]):
    """An instructor who is away on the first morning of a school; give `kind` for another."""

    class Meta:
        model = Trouble

    kind = Trouble.Kind.INSTRUCTOR_AWAY
    instructor = factory.Maybe(
        factory.LazyAttribute(lambda trouble: trouble.kind == Trouble.Kind.INSTRUCTOR_AWAY),
        factory.SubFactory(InstructorFactory),
        None,
    )
    starts_at = datetime(2027, 5, 7, 8, tzinfo=UTC)
    ends_at = datetime(2027, 5, 7, 11, tzinfo=UTC)


def offer_hours(
    instructor: Instructor, school: School, start: time = time(8, 30), end: time = time(17, 30)
) -> None:
    """The same hours, local to the school, on each of its dates."""
    for day in school.dates:
        Hours.objects.create(
            instructor=instructor,
            starts_at=datetime.combine(day, start, school.zone),
            ends_at=datetime.combine(day, end, school.zone),
        )


def instructor_for(account: Account, **fields: Any) -> Instructor:
    return InstructorFactory.create(staff=account.staff, **fields)


def small_school(
    attendees: int = 8, *, bays: int = 3, instructors: int = 2, **fields: Any
) -> School:
    """A school that can be planned: three visits, bays for them, two instructors all day."""
    school = SchoolFactory.create(**fields)
    station = StationFactory.create(slug="swing")
    intake = VisitFactory.create(
        programme=school.programme, station=station, slug="intake", phase="intake", last_day=1
    )
    for number in range(2):
        visit = VisitFactory.create(
            programme=school.programme, station=station, slug=f"lesson-{number}"
        )
        visit.after.add(intake)
    for _ in range(attendees):
        EnrolmentFactory.create(school=school)
    BayFactory.create_batch(bays)
    for instructor in InstructorFactory.create_batch(instructors, teaches=[station]):
        offer_hours(instructor, school)
    return school


def talk(*, squads: int, instructors: int, **fields: Any) -> list[Session]:
    """One visit that squads have together, in order of squads: who gives it goes round them."""
    people = InstructorFactory.create_batch(instructors)
    given = {"visit__group_ratio": 8, **fields}
    first = SessionFactory.create(instructor=people[0], **given)
    more = [
        SessionFactory.create(
            plan=first.plan,
            visit=first.visit,
            bay=first.bay,
            instructor=people[number % instructors],
        )
        for number in range(1, squads)
    ]
    return [first, *more]


def drafted(school: School, squads: int = 2, **fields: Any) -> Plan:
    """A plan of a small school just made, without anybody yet: a squad of one for each bay and
    instructor, with every visit from the first slot on."""
    plan: Plan = PlanFactory.create(school=school, **fields)
    bays, people = Bay.objects.order_by("-pk"), Instructor.objects.order_by("-pk")
    visits = school.programme.visits.order_by("pk")
    for bay, person in zip(bays[:squads], people[:squads], strict=True):
        squad = SquadMemberFactory.create(squad__school=school).squad
        for slot, visit in enumerate(visits):
            starts_at = school.slot_instant(0, slot)
            SessionFactory.create(
                plan=plan, visit=visit, squad=squad, bay=bay, instructor=person, starts_at=starts_at
            )
    return plan
