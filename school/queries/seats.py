"""Which seats are free and who waits for one."""

from datetime import datetime

from school.models import Enrolment, School


def free_seats(school: School) -> list[int]:
    """The numbers up to the capacity that nobody has or is offered, lowest first. One query."""
    held = school.enrolments.filter(state__in=Enrolment.HOLDS_SEAT)
    taken = set(held.values_list("seat", flat=True))
    return [seat for seat in range(1, school.capacity + 1) if seat not in taken]


def waiting_in_order(school: School, most: int | None = None) -> list[Enrolment]:
    """The waiting list, longest waiting first, with their golfers. One query."""
    rows = school.enrolments.filter(state=Enrolment.State.WAITING)
    return list(rows.order_by("enrolled_at", "pk").select_related("golfer", "school")[:most])


def last_offered(school: School) -> Enrolment | None:
    """Of those who are offered a seat, whoever has waited least. One query."""
    offered = school.enrolments.filter(state=Enrolment.State.OFFERED)
    return offered.select_related("golfer", "school").order_by("-enrolled_at", "-pk").first()


def schools_with_lapsed_offers(now: datetime) -> list[School]:
    """The schools in which an offer has ended without an answer. One query."""
    lapsed = Enrolment.objects.filter(state=Enrolment.State.OFFERED, offer_ends_at__lte=now)
    return list(School.objects.filter(pk__in=lapsed.values("school")).order_by("pk"))
