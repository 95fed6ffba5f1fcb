"""As the site writes a day: 12 May 2026."""

DATE_FORMAT = "j F Y"
