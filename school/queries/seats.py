"""Which seats are free and who waits for one."""

from school.models import Enrolment, School


def free_seats(school: School) -> list[int]:
    """The numbers up to the capacity that nobody has, lowest first. One query."""
    taken = set(
        school.enrolments.filter(state=Enrolment.State.SEATED).values_list("seat", flat=True)
    )
    return [seat for seat in range(1, school.capacity + 1) if seat not in taken]


def waiting_in_order(school: School, most: int | None = None) -> list[Enrolment]:
    """The waiting list, longest waiting first, with their golfers. One query."""
    rows = school.enrolments.filter(state=Enrolment.State.WAITING)
    return list(rows.order_by("enrolled_at", "pk").select_related("golfer", "school")[:most])
