"""`manage.py start_site`: an empty site with its first coordinator, on a server that has none."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from orchard.domain.columns import SUPPOSED, Meaning
from orchard.domain.coordinates import LocalPlane
from orchard.domain.corners import read_corners
from orchard.domain.errors import PlannerError
from orchard.domain.typed_rows import read_outline
from orchard.domain.units import System
from orchard.services.accounts import ensure_account
from orchard.services.sites import NewSite, start_site

LATER = "not written down yet"


class Command(BaseCommand):
    """Start a site; whoever coordinates one can start further sites on the page for it."""

    help = "Start an empty site, coordinated by the account with this address."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the short name, and what a site cannot be without."""
        parser.add_argument("slug", help="short name for addresses, such as mill-lane")
        parser.add_argument("--name", required=True, help="name of the orchard")
        parser.add_argument("--coordinator", required=True, metavar="ADDRESS")
        parser.add_argument("--town", default=LATER)
        parser.add_argument("--time-zone", required=True, help="such as Europe/Paris")
        parser.add_argument("--units", choices=[one.value for one in System], default="metric")
        parser.add_argument(
            "--peg", nargs=2, type=float, required=True, metavar=("LATITUDE", "LONGITUDE")
        )
        parser.add_argument(
            "--corners",
            required=True,
            help="the outline east and north of the peg, '0 0; 40 0; 40 30; 0 30': in metres, "
            "with --units us in feet, or each number with a unit of its own",
        )

    @transaction.atomic
    def handle(self, *_args: Any, **options: Any) -> None:
        """Make the account if there is none, and the site; or nothing of both."""
        try:
            units = System(options["units"])
            outline = read_outline(
                read_corners(options["corners"].replace(";", "\n")),
                (Meaning.EAST, Meaning.NORTH),
                SUPPOSED[Meaning.EAST][units],
                LocalPlane(*options["peg"]),
            )
            new = NewSite(
                slug=options["slug"].lower(),
                name=options["name"],
                town=options["town"],
                time_zone=options["time_zone"],
                units=units,
                peg_latitude=options["peg"][0],
                peg_longitude=options["peg"][1],
                outline=outline,
                entrance=LATER,
                emergency_number=LATER,
                nearest_emergency_department=LATER,
                muster_point=LATER,
                shelter=LATER,
                organiser_name=options["name"],
            )
            account = ensure_account(email=options["coordinator"])
            start_site(new=new, by=account, at=timezone.now())
        except PlannerError as refused:
            raise CommandError(refused.message) from refused
        self.stdout.write(
            f"{new.name} is started. {options['coordinator']} signs in with a mailed code, then "
            "adds areas and trees. Write the entrance, the emergency number, the emergency "
            "department, the muster point and the shelter down before the first session."
        )
