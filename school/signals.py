"""What higher apps may listen to. Sent inside the transaction that caused it."""

from django.dispatch import Signal

# Sent with `school` and `actor` when a school is closed; receivers queue the reports.
school_closed = Signal()
# Sent with `enrolment` and `actor` when a seat is given up; receivers drop squad places.
enrolment_cancelled = Signal()
