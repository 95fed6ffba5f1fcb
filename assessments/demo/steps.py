"""The steps of the demo. Each looks first whether it has been done, so a stopped demo resumes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.core.management import call_command

from assessments.actions.filming import add_place
from assessments.actions.practice import Means, WrittenPriority, propose_plan, revise_plan
from assessments.actions.signing import sign_report
from assessments.demo.recordings import is_recorded, record_golfer
from assessments.demo.scenario import Scenario, cohort_text
from assessments.models import FilmingPlace, PracticePlan
from assessments.practice.propose import Need, Rule, propose
from assessments.queries.practice import drills_in_use
from assessments.queries.signing import said_now
from lessons.actions.hours import set_hours
from lessons.actions.plans import request_plan
from lessons.actions.publishing import publish_plan
from lessons.actions.searching import find_plan
from lessons.models import Bay, Instructor, Plan, Qualification, Station
from school.actions.consents import give_consent
from school.actions.imports import import_golfers
from school.actions.money import record_payment
from school.actions.people import add_staff, invite
from school.actions.preferences import set_preferences
from school.actions.reference import save_reference, set_password
from school.actions.schools import close_school, open_enrolment, open_school
from school.models import Account, Enrolment, LedgerEntry, Programme, School, Staff

Say = Callable[[str], None]


@dataclass(frozen=True)
class Stage:
    """The scenario and the day on which it is played."""

    scenario: Scenario
    today: date

    @property
    def desk(self) -> Account:
        return Account.objects.get(email=self.scenario.email_of("at_front_desk"))


def set_up_house(stage: Stage, say: Say) -> None:
    """Reference tables, bays, staff, what they are qualified for, and where stills are filmed."""
    if not Programme.objects.exists():
        call_command("loaddata", "standard", "messages", "drills", verbosity=0)
    if not Bay.objects.exists():
        call_command("loaddata", "tarnholm/bays", verbosity=0)
    for person in stage.scenario.staff:
        staff = Staff.objects.filter(account__email=person["email"]).first() or add_staff(
            email=person["email"],
            full_name=person["name"],
            jobs=person["jobs"],
            password=stage.scenario.password,
            actor=None,
        )
        if staff.teaches:
            _qualify(staff, person["stations"], stage.desk)
    if not FilmingPlace.objects.exists():
        add_place(settings=stage.scenario.filming_place, actor=stage.desk)
    counts = (model.objects.count() for model in (Bay, Station, Staff))
    say("{} bays, {} stations, {} staff".format(*counts))


def set_up_schools(stage: Stage, say: Say) -> list[School]:
    """Each school from the programme, filled from its list; deposits paid."""
    schools = [_school(stage, wanted) for wanted in stage.scenario.schools]
    zone = ZoneInfo(stage.scenario.time_zone)
    days = {day: stage.scenario.hours for school in schools for day in school.dates}
    for instructor in Instructor.objects.all():
        if not instructor.hours.exists():
            set_hours(instructor=instructor, hours=days, zone=zone, actor=stage.desk)
    for school, wanted in zip(schools, stage.scenario.schools, strict=True):
        if school.state == School.State.OPEN:
            import_golfers(school=school, data=cohort_text(wanted), actor=stage.desk)
            _take_payments(school, stage.desk)
            _agree_further(stage, school)
        seated = school.enrolments.filter(state=Enrolment.State.SEATED).count()
        say(f"{school}: {seated} of {school.capacity} seats")
    return schools


def plan_school(stage: Stage, school: School, say: Say) -> Plan:
    """Squads and a timetable, found and published."""
    published = school.plans.filter(is_published=True).first()
    if published is None:
        plan = school.plans.filter(state__in=["queued", "running", "done"]).first()
        plan = plan or request_plan(school=school, actor=stage.desk, seed=1)
        find_plan(plan.pk)
        plan.refresh_from_db()
        if plan.state != Plan.State.DONE:
            raise RuntimeError(f"The demo's timetable was not found: {plan.reason}")
        publish_plan(plan=plan, actor=stage.desk)
        published = plan
    squads, sessions = school.squads.count(), published.sessions.count()
    proven = sum(bool(goal["proven"]) for goal in published.goals)
    best = f"proven the best in {proven} of {len(published.goals)} respects"
    say(f"{squads} squads, {sessions} sessions, {best}")
    return published


def measure_golfers(stage: Stage, plan: Plan, say: Say) -> None:
    """What the instructors record at the stations, golfer by golfer, and how each reads it."""
    attendees = plan.school.enrolments.filter(state=Enrolment.State.SEATED).select_related("golfer")
    for number, enrolment in enumerate(attendees, 1):
        if not is_recorded(enrolment):
            told = stage.scenario.golfers[enrolment.golfer.email]
            if "reads" in told:
                reads = set_preferences(golfer=enrolment.golfer, actor=stage.desk, **told["reads"])
                enrolment.golfer = reads
            sessions = plan.sessions.filter(squad__members__enrolment=enrolment).select_related(
                "visit__station", "instructor__staff__account"
            )
            by_visit = {session.visit.slug: session for session in sessions}
            record_golfer(enrolment, told, stage.scenario.course, by_visit)
        say(f"{number} of {len(attendees)}: {enrolment.golfer}")


def plan_practice(stage: Stage, school: School, say: Say) -> None:
    """The lead has a plan proposed for each golfer, and writes it for who needs another one."""
    without = school.enrolments.filter(state=Enrolment.State.SEATED, practice_plan__isnull=True)
    for enrolment in without.select_related("golfer"):
        email, lead = enrolment.golfer.email, school.lead_instructor.account
        means = stage.scenario.practice[email]
        plan = propose_plan(enrolment=enrolment, means=means, actor=lead)
        if email in stage.scenario.written_plans:
            _write_plan(plan, means, stage.scenario.written_plans[email], lead)
    plans = PracticePlan.objects.filter(enrolment__school=school)
    written = plans.filter(is_edited=True).count()
    say(f"{plans.count() - written} plans proposed, {written} written")


def _write_plan(plan: PracticePlan, means: Means, told: dict[str, Any], lead: Account) -> None:
    """Six weeks of the drills that the lead has in mind, as far as the golfer can do them."""
    need = Need("lead", "choice", "", "low", None, 1.0, told["title"], {})
    rules = [
        Rule(need.kind, need.measure, "", need.when, slug, position, told["why"])
        for position, slug in enumerate(told["drills"])
    ]
    weeks = propose(
        [need],
        rules,
        drills_in_use(),
        means.time,
        equipment=means.equipment,
        hurts=means.hurts,
    )
    revise_plan(
        plan=plan,
        edition=plan.edition,
        priorities=[WrittenPriority(told["title"], told["why"])],
        items=weeks.items,
        actor=lead,
    )


def sign_reports(plan: Plan, say: Say) -> None:
    """Whoever wrote the words for a golfer signs what the report says, without its pages."""
    attendees = plan.school.enrolments.filter(state=Enrolment.State.SEATED)
    said = said_now(attendees)
    for enrolment in attendees:
        words = enrolment.entries.get(kind="coach_paragraph", superseded_by=None)
        assert words.recorded_by is not None
        sign_report(enrolment=enrolment, actor=words.recorded_by, content_sha256=said[enrolment.pk])
    say(f"{len(attendees)} reports signed")


def close(stage: Stage, school: School) -> None:
    if school.state != School.State.CLOSED:
        close_school(school=school, actor=stage.desk)


def open_golfer_sign_in(stage: Stage, school: School) -> Account:
    """The first golfer of the list gets a password, as if the link had been followed."""
    golfer = school.enrolments.select_related("golfer").earliest("enrolled_at", "pk").golfer
    if golfer.account is None:
        invite(golfer=golfer, actor=stage.desk)
        golfer.refresh_from_db()
        assert golfer.account is not None
        set_password(account=golfer.account, password=stage.scenario.password, actor=stage.desk)
    return golfer.account


def _qualify(staff: Staff, stations: list[str], actor: Account) -> None:
    if Instructor.objects.filter(staff=staff).exists():
        return
    instructor = Instructor(staff=staff)
    save_reference(row=instructor, changed=[], actor=actor)
    for slug in stations:
        row = Qualification(instructor=instructor, station_id=slug)
        save_reference(row=row, changed=[], actor=actor)


def _school(stage: Stage, wanted: dict[str, Any]) -> School:
    school = School.objects.filter(name=wanted["name"], is_demo=True).first()
    if school is None:
        lead = next(person for person in stage.scenario.staff if person.get("lead"))
        programme = Programme.objects.get()
        school = open_school(
            programme=programme,
            name=wanted["name"],
            starts_on=stage.scenario.first_day(wanted, stage.today, programme.days),
            lead_instructor=Staff.objects.get(account__email=lead["email"]),
            capacity=wanted["capacity"],
            time_zone=stage.scenario.time_zone,
            venue=stage.scenario.venue,
            is_demo=True,
            actor=stage.desk,
        )
    if school.state == School.State.DRAFT:
        school = open_enrolment(school=school, actor=stage.desk)
    return school


def _take_payments(school: School, desk: Account) -> None:
    """Everybody pays the deposit, every other golfer the rest as well."""
    deposit = school.programme.deposit
    for number, enrolment in enumerate(school.enrolments.filter(state="seated")):
        if enrolment.ledger.filter(kind=LedgerEntry.Kind.PAYMENT).exists():
            continue
        _pay(enrolment, deposit, "transfer", "deposit", desk)
        if number % 2 == 0:
            _pay(enrolment, school.price - deposit, "card", "balance", desk)


def _agree_further(stage: Stage, school: School) -> None:
    """What some agree to that the list has no column for."""
    for enrolment in school.enrolments.filter(state="seated").select_related("golfer"):
        golfer = enrolment.golfer
        for kind in stage.scenario.golfers.get(golfer.email, {}).get("agrees_to", ()):
            give_consent(
                enrolment=enrolment,
                kind=kind,
                given_by=golfer.guardian_name or golfer.full_name,
                actor=stage.desk,
            )


def _pay(enrolment: Enrolment, amount: Decimal, method: str, memo: str, desk: Account) -> None:
    record_payment(enrolment=enrolment, amount=amount, method=method, memo=memo, actor=desk)
