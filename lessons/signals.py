"""What higher apps may answer."""

from django.dispatch import Signal

# Sent with `session` when its attendees are shown; a receiver answers how much is recorded of
# each, by the key of the enrolment.
attendees_shown = Signal()
