"""Run the whole house on this machine: web, worker and sweeper."""

from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from school.models import Staff
from school.processes import Household, sweeper, web, worker


class Command(BaseCommand):
    help = "Start the web server, the worker and the sweeper together; Ctrl-C stops them all."

    def handle(self, *args: Any, **options: Any) -> None:
        call_command("migrate", verbosity=0)
        if not Staff.objects.exists():
            raise CommandError("Nobody works here yet: open the house with `make start` first.")
        host, port = settings.LISTEN
        with Household() as house:
            for part in (worker(), sweeper(), web(host, port)):
                house.start(part)
            self.stdout.write(f"Marram is at {settings.SITE_URL} (Ctrl-C stops it).")
            ended = house.wait()
        if ended is not None:
            raise CommandError(f"The {ended} process ended by itself; everything was stopped.")
        self.stdout.write("Stopped.")
