"""Open a new house: the reference tables and the owner's sign-in."""

import getpass
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from school.actions.people import add_staff
from school.models import Programme, Staff


class Command(BaseCommand):
    help = "Load the standard stations, consents and programme, and make the owner's sign-in."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--email", required=True)
        parser.add_argument("--name", required=True)
        parser.add_argument("--password-from", type=open, metavar="FILE", help="instead of asking")

    def handle(self, *args: Any, **options: Any) -> None:
        if not options["email"] or not options["name"]:
            raise CommandError('Say who owns the house: EMAIL=you@example.org NAME="Your Name".')
        call_command("migrate", verbosity=0)
        if Staff.objects.filter(owns=True).exists():
            raise CommandError("This house has an owner. Add more people in the admin.")
        given = options["password_from"]
        password = given.read().strip() if given else getpass.getpass("Owner's password: ")
        try:
            validate_password(password)
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        if not Programme.objects.exists():
            call_command("loaddata", "standard", "messages", "drills", verbosity=0)
        add_staff(
            email=options["email"],
            full_name=options["name"],
            jobs=["owns"],
            password=password,
            actor=None,
        )
        self.stdout.write(
            "The house is open. Add places, bays and staff under /admin/, then set up a school."
        )
