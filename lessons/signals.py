"""What higher apps may answer."""

from django.dispatch import Signal

# Sent with `session` when its attendees are shown; a receiver answers how much is recorded of
# each, by the key of the enrolment.
attendees_shown = Signal()

# Sent when a session is shown; a receiver answers what may be recorded in any session, as the kind
# of each and its title.
anywhere_asked = Signal()
