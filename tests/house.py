"""A small house with something behind every address, for tests that knock at all doors."""

import json
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.contrib.auth.tokens import default_token_generator
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode

from assessments.models import Drill, Entry, FilmingPlace, PracticeItem, Report, Still
from assessments.reports import files
from lessons.models import Bay, Hold, Plan, Session, Squad, SquadWish
from school.actions.enrolment import enrol
from school.details import Agreement
from school.models import Account, Enrolment, School
from tests.assessments.factories import (
    STRONG,
    DrillFactory,
    EntryFactory,
    FilmingPlaceFactory,
    StillFactory,
    marking,
    place_settings,
    rendering,
)
from tests.assessments.impact.marks import STILLS
from tests.assessments.reports.scene import signed
from tests.factories import ConsentTextFactory, SchoolFactory
from tests.house_again import Again, again_addresses, again_writes, build_again
from tests.house_by_hand import build_by_hand, by_hand_addresses, by_hand_writes
from tests.house_desk import (
    Desk,
    build_desk,
    desk_addresses,
    money_writes,
    people_writes,
    public_writes,
)
from tests.house_flight import Flight, build_flight, flight_addresses, flight_writes
from tests.house_handing_out import (
    HANDING_OUT_WRITES,
    HandingOut,
    build_handing_out,
    handing_out_addresses,
)
from tests.house_practice import build_practice, practice_addresses, practice_writes
from tests.house_signing import Signing, build_signing, signing_addresses, signing_writes
from tests.house_squads import build_squads, squads_addresses, squads_writes
from tests.house_studies import Studies, build_studies, study_addresses, study_writes
from tests.lessons.factories import (
    BayFactory,
    PlanFactory,
    SessionFactory,
    SquadFactory,
    SquadMemberFactory,
    instructor_for,
)

AGREED = ("filming", "shown_in_class", "reference")
PARAGRAPH = "The strike moved forward from the first day to the third. Keep the ball where it is."


@dataclass(frozen=True)
class House:
    """One running school with two attendees and a session at each of two stations."""

    school: School
    draft: School
    attendee: Enrolment
    impact: Session
    paragraph: Session
    plan: Plan
    still: Still
    fresh_still: Still
    entry: Entry
    report: Report
    place: FilmingPlace
    drill: Drill
    practice: PracticeItem
    studies: Studies
    signing: Signing
    handing_out: HandingOut
    bay: Bay
    hold: Hold
    golfer: Account
    desk: Desk
    by_hand: Session
    again: Again
    wish: SquadWish
    flight: Flight


def build_house(*, golfer: Account, other_golfer: Account, instructor: Account) -> House:
    """A school of both golfers in which the instructor teaches; they do not lead it."""
    soon = timezone.localdate() + timedelta(days=30)
    school = SchoolFactory.create(starts_on=soon, deposit=Decimal(240))
    for kind in ("terms", *AGREED):
        ConsentTextFactory.create(kind=kind)
    attendee, other = (_attendee(school, account) for account in (golfer, other_golfer))
    squad = SquadFactory.create(school=school)
    for enrolment in (attendee, other):
        SquadMemberFactory.create(squad=squad, enrolment=enrolment)
    instructor_for(instructor)
    impact = _session(squad, instructor, "impact")
    still, fresh_still = (_still(attendee, club) for club in ("iron", "wedge"))
    bay = BayFactory.create()
    draft = SchoolFactory.create(starts_on=soon, state=School.State.DRAFT)
    report = _report(attendee)
    made = House(
        school=school,
        draft=draft,
        attendee=attendee,
        impact=impact,
        paragraph=_session(
            squad,
            instructor,
            "coach_paragraph",
            plan=impact.plan,
            starts_at=school.slot_instant(0, 1),
        ),
        plan=PlanFactory.create(school=draft),
        still=still,
        fresh_still=fresh_still,
        entry=EntryFactory.create(
            enrolment=attendee, kind="impact", payload=marking(), still=still, session=impact
        ),
        report=report,
        place=FilmingPlaceFactory.create(),
        drill=DrillFactory.create(),
        practice=build_practice(attendee),
        studies=build_studies(still),
        signing=build_signing(instructor),
        handing_out=build_handing_out(report),
        bay=bay,
        hold=Hold.objects.create(bay=bay, note="Repair", quarter_hour=school.slot_instant(0, 0)),
        golfer=golfer,
        desk=build_desk(attendee=attendee, overpaid=other, instructor=instructor),
        by_hand=build_by_hand(soon),
        again=build_again(school),
        wish=build_squads(soon),
        flight=build_flight(
            _session(
                squad,
                instructor,
                "ball_flight",
                plan=impact.plan,
                starts_at=school.slot_instant(0, 2),
            )
        ),
    )
    signed(attendee)
    return made


def _attendee(school: School, account: Account) -> Enrolment:
    agreement = Agreement(frozenset(AGREED), account.full_name)
    return enrol(school=school, golfer=account.golfer, agreement=agreement, actor=None)


def _session(squad: Squad, instructor: Account, kind: str, **fields: Any) -> Session:
    made: Session = SessionFactory.create(
        plan__school=squad.school,
        squad=squad,
        instructor=instructor.staff.instructor,
        visit__phase="intake",
        visit__station__slug=f"at-{kind}",
        visit__station__entry_kind=kind,
        **fields,
    )
    return made


def _still(attendee: Enrolment, club: str) -> Still:
    picture = (STILLS / f"{STRONG}.jpg").read_bytes()
    before = SimpleUploadedFile("before.jpg", picture, "image/jpeg")
    made: Still = StillFactory.create(
        enrolment=attendee,
        club_class=club,
        picture__data=picture,
        picture_before=before,
        sha256_before=uuid4().hex * 2,
    )
    return made


def _report(attendee: Enrolment) -> Report:
    files.put("reports/made.pdf", b"%PDF-1.7 made")
    return Report.objects.create(
        enrolment=attendee, state="done", file="reports/made.pdf", content_sha256="0" * 64, pages=5
    )


def addresses(house: House) -> dict[str, list[Any]]:
    """What each URL name is about here, in the order of its address; nothing if not listed."""
    school, attendee = [house.school.pk], [house.attendee.pk]
    at_impact = [house.impact.pk, house.attendee.pk, "impact"]
    at_station = [house.paragraph.pk, house.attendee.pk, "coach_paragraph"]
    uid = urlsafe_base64_encode(force_bytes(house.golfer.pk))
    return {
        "choose_password": [uid, default_token_generator.make_token(house.golfer)],
        **dict.fromkeys(SCHOOL_PAGES, school),
        "school_open": [house.draft.pk],
        **dict.fromkeys(ATTENDEE_PAGES, attendee),
        "consent_withdraw": [house.attendee.pk, "filming"],
        "ledger_reverse": [house.attendee.ledger.get(kind="charge").pk],
        "plan_progress": [house.plan.pk],
        "plan_publish": [house.plan.pk],
        "hold_release": [house.school.pk, house.hold.pk],
        "day_sheet": [house.school.pk, 1],
        "my_day_on": [house.school.starts_on],
        "session": [house.impact.pk],
        "entry_new": at_station,
        "still_add": at_impact,
        "capture": at_impact,
        "entry_detail": [house.entry.pk],
        "still_mark": [house.still.pk],
        "still_picture": [house.still.pk],
        "still_overlay": [house.still.pk],
        "still_export": [house.still.pk],
        "still_reference": [house.still.pk],
        "wall_tile": [house.school.pk, house.still.pk],
        "still_before_picture": [house.still.pk],
        "still_again": [house.still.pk],
        "still_record": [house.fresh_still.pk],
        "report_download": [house.report.pk],
        "drill": [house.drill.slug],
        "filming_place": [house.place.pk],
        "report_again": [house.report.pk],
        "attendee_findings": [house.school.pk, house.attendee.pk],
        **practice_addresses(house.practice),
        **study_addresses(house.studies),
        **signing_addresses(house.signing),
        **handing_out_addresses(house.handing_out),
        **desk_addresses(house.desk, house.attendee),
        **by_hand_addresses(house.by_hand),
        **again_addresses(house.again),
        **squads_addresses(house.wish),
        **flight_addresses(house.flight, house.attendee),
    }


SCHOOL_PAGES = (
    *("school", "school_capacity", "school_close", "school_enrol", "school_import"),
    *("timetable", "plan_request", "holds", "hours_set", "school_reports", "report_progress"),
    *("stills_bulk", "stills_bulk_add", "marking_queue"),
    *("wall", "wall_present", "wall_sheet_pdf", "wall_sheet_png"),
)
ATTENDEE_PAGES = (
    *("enrolment", "golfer_edit", "enrolment_cancel", "payment_add", "consent_give"),
    "golfer_invite",
)


def writes(house: House) -> dict[str, dict[str, Any]]:
    """What to send so that something changes, by URL name."""
    desk, attendee = house.desk, house.attendee
    return {
        **desk_writes(house),
        **people_writes(desk, attendee),
        **money_writes(desk, attendee),
        **public_writes(desk),
        **lesson_writes(house),
        **by_hand_writes(house.by_hand),
        **again_writes(house.again),
        **squads_writes(house.wish),
        **station_writes(attendee),
        **practice_writes(house.practice),
        **study_writes(house.studies),
        **signing_writes(house.signing),
        **HANDING_OUT_WRITES,
        **flight_writes(),
    }


def desk_writes(house: House) -> dict[str, dict[str, Any]]:
    newcomer = {"full_name": "Nell Newcomer", "email": "nell@example.org", "handedness": "left"}
    return {
        "school_new": {
            "name": "Autumn",
            "starts_on": house.school.starts_on,
            "lead_instructor": house.school.lead_instructor.pk,
            "capacity": 12,
            "price": "960",
            "deposit": "240",
            "time_zone": "Europe/London",
        },
        "school_open": {},
        "school_capacity": {"capacity": 20},
        "school_close": {"early": "on"},
        "school_enrol": newcomer,
        "school_import": {
            "golfers": "name,handed,email\nNell Newcomer,left,n@example.org\n",
            "confirm": "1",
        },
        "golfer_edit": newcomer,
        "payment_add": {"amount": "10", "method": "cash"},
        "consent_give": {"kind": "terms", "given_by": house.golfer.full_name},
        "consent_withdraw": {},
        "golfer_invite": {},
        "ledger_reverse": {"why": "Entered twice"},
        "report_again": {},
        "still_reference": {"keep": "1"},
    }


def lesson_writes(house: House) -> dict[str, dict[str, Any]]:
    day, hours = house.school.starts_on, f"school{house.school.pk}"
    return {
        "plan_request": {"seconds": 20},
        "plan_publish": {},
        "holds": {
            "note": "Private lesson",
            "bay": house.bay.pk,
            "day": house.school.ends_on,
            "starts": "10:00",
            "ends": "11:00",
        },
        "hold_release": {},
        "hours_set": {f"{hours}-from_{day}": "09:00", f"{hours}-to_{day}": "12:00"},
    }


def marks_sent() -> dict[str, Any]:
    return {"entry_id": uuid4(), "landmarks": json.dumps(marking()["landmarks"])}


def station_writes(attendee: Enrolment) -> dict[str, dict[str, Any]]:
    still = {"club_class": "driver", "shot_kind": "full"}
    return {
        "entry_new": {"entry_id": uuid4(), "text": PARAGRAPH},
        "still_add": {**still, "still_id": uuid4(), "picture": rendering()},
        "stills_bulk_add": {
            **still,
            "still_id": uuid4(),
            "enrolment": attendee.pk,
            "phase": "exit",
            "picture": rendering(),
        },
        **dict.fromkeys(("still_record", "still_again"), marks_sent()),
        **dict.fromkeys(("filming_place_new", "filming_place"), place_settings()),
    }
