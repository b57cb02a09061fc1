"""Loads the demo course, makes its sign-ins and links, plans it and posts the plan."""

from __future__ import annotations

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from scheduling import demo_after, demo_kitchen
from scheduling.demo import (
    COURSE,
    DemoError,
    load,
    make_card_links,
    make_sign_ins,
    sign_ins_file,
    slug_of,
)
from scheduling.models import RunSheet
from scheduling.planning import NoPlanError, plan_course
from scheduling.posting import PostRefusedError, post_all
from workshops.models import StaffRole, Workshop


class Command(BaseCommand):
    """``manage.py demo``: running it again changes nothing."""

    help = "Load the demo course, plan it and post the plan."

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the one switch."""
        parser.add_argument(
            "--if-empty", action="store_true", help="Do nothing if there is any workshop."
        )

    def handle(self, *, if_empty: bool, **options: object) -> None:
        """Load, sign in, link, plan, post; each part is left alone if it was done before."""
        if if_empty and Workshop.objects.exists() and not self._was_cut_short():
            return
        try:
            workshop = load(COURSE)
        except DemoError as error:
            raise CommandError(str(error)) from error
        self._sign_ins(workshop)
        make_card_links(workshop)
        demo_kitchen.fill(workshop, now=timezone.now())
        if not RunSheet.objects.posted().filter(day__workshop=workshop).exists():
            self._plan(workshop)
        demo_after.carry_on(workshop)
        self.stdout.write(f"{workshop.name} is loaded, planned and posted.")

    def _was_cut_short(self) -> bool:
        """Whether the one workshop is the demo, stopped before it was posted."""
        others = Workshop.objects.exclude(slug=slug_of(COURSE))
        return not others.exists() and not RunSheet.objects.posted().exists()

    def _sign_ins(self, workshop: Workshop) -> None:
        made = make_sign_ins(workshop, COURSE)
        for new in made:
            self.stdout.write(f"Sign in as {new.username} with {new.password}")
        if made:
            self.stdout.write(f"The sign-ins are kept in {sign_ins_file()}.")

    def _plan(self, workshop: Workshop) -> None:
        lead = workshop.staff.select_related("user").filter(role=StaffRole.LEAD).first()
        by = lead.user if lead else None
        try:
            plan_course(workshop, progress=self._say)
            post_all(workshop, by=by, now=timezone.now())
        except (NoPlanError, PostRefusedError) as error:
            raise CommandError(f"The course is loaded, but not posted. {error}") from error

    def _say(self, percent: int, message: str) -> None:
        self.stdout.write(f"{percent:3d} %  {message}")
