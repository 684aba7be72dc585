"""Make an account for whoever keeps the portal: `manage.py add_person you@example.com --starts-campaigns`."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError

from portal.people import accounts
from portal.people.models import User


class Command(BaseCommand):
    help = "Make an account, or settle one that exists. It can be run again: what is not said stays as it is."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("email")
        parser.add_argument("--name", default="")
        parser.add_argument("--starts-campaigns", action="store_true", help="may start campaigns")
        parser.add_argument("--password-stdin", action="store_true", help="read a password from standard input")

    def handle(self, *args: Any, **options: Any) -> None:
        email = options["email"].strip().lower()
        password = sys.stdin.readline().rstrip("\r\n") if options["password_stdin"] else None
        try:
            if password is not None:
                validate_password(password, User(email=email, name=options["name"]))
            user, made = accounts.settle_account(
                email, name=options["name"], password=password, starts_campaigns=options["starts_campaigns"]
            )
        except ValidationError as refusal:
            raise CommandError(" ".join(refusal.messages)) from refusal
        signs_in = "a password or a code by e-mail" if user.has_usable_password() else "a code by e-mail"
        starts = "may" if user.starts_campaigns else "may not"
        self.stdout.write(
            f"{'Made' if made else 'Settled'} the account of {user} ({user.email}). It signs in with {signs_in}, "
            f"and {starts} start campaigns."
        )
