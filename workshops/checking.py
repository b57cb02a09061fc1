"""The facts that local law usually turns on, and that somebody asked the local authority.

No advice: the page shows texts with their place, asks for names and dates, and blocks nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from workshops.models import LocalCheck, Workshop

NOT_FOR_SALE = "NOT FOR SALE"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """One thing that rules turn on, and the text that says so."""

    sentence: str
    source: str


# Read in the named texts; the Code of Federal Regulations in its annual edition of 2015. Federal
# law of the United States and examples of how others differ: the place where the hog stands
# decides.
FACTS = (
    Fact(
        sentence=(
            "Who raised the animal. No inspection is required when a person slaughters livestock "
            "of their own raising, and the meat is only for them, their household, their nonpaying "
            "guests and their employees."
        ),
        source="9 CFR 303.1(a)(1)",
    ),
    Fact(
        sentence=(
            "Who owned it alive, and since when. Slaughter for the owner who delivers the animal "
            "may be exempt; its use is then limited to the owner, household, nonpaying guests and "
            "employees."
        ),
        source="9 CFR 303.1(a)(2)",
    ),
    Fact(
        sentence=(
            "Whether those who eat or take meat home pay. Somebody who pays for a course may not "
            "be a nonpaying guest. Ask before the day, and get the answer in writing."
        ),
        source="follows from the words of 9 CFR 303.1(a)(1) and (a)(2); our reading, no ruling",
    ),
    Fact(
        sentence=(
            "What is written down: number and kind of animals, quantity and type of product, "
            "names and addresses of the owners."
        ),
        source="9 CFR 303.1(b)(3)",
    ),
    Fact(
        sentence=(
            "What the package says. Carcass, parts and packages of exempt slaughter are marked "
            "“Not for Sale” at once, in letters at least 3/8 inch high."
        ),
        source="9 CFR 303.1(a)(2)(iii), 316.16, 317.16",
    ),
    Fact(
        sentence=(
            "What is served. The exemption for restaurants and caterers covers only meat that was "
            "inspected and passed."
        ),
        source="9 CFR 303.1(d)(2)(iv)",
    ),
    Fact(
        sentence="When the animal was last treated: it is held back until that is over.",
        source="9 CFR 309.16",
    ),
    Fact(
        sentence=(
            "Where the farm lies. Vermont asks that one person owns the whole animal on their own "
            "property; Minnesota's guidance sells the whole animal before slaughter, as halves or "
            "wholes; Washington licenses custom farm slaughterers. England and Wales allow home "
            "slaughter by the owner for themselves and immediate family living there, no guests."
        ),
        source=(
            "Vermont Agency of Agriculture; Minnesota Department of Agriculture guidance; WAC "
            "16-19-330; Food Standards Agency, Home slaughter of livestock, Sept 2020, read in "
            "excerpts"
        ),
    ),
)


def current(workshop: Workshop) -> LocalCheck | None:
    """The check that stands. Uses prefetched ``local_checks``."""
    standing = [check for check in workshop.local_checks.all() if check.taken_back_at is None]
    return standing[0] if standing else None


def package_mark(workshop: Workshop) -> str:
    """What every package carries: NOT FOR SALE, unless a standing check says it may be left off."""
    check = current(workshop)
    return "" if check is not None and check.may_leave_off else NOT_FOR_SALE


@transaction.atomic
def tick(workshop: Workshop, check: LocalCheck, *, now: datetime) -> None:
    """Write the check down in place of an older one, which is kept."""
    take_back(workshop, now=now)
    check.workshop, check.made_at = workshop, now
    check.save()


def take_back(workshop: Workshop, *, now: datetime) -> int:
    """The check no longer stands; answers how many did."""
    return workshop.local_checks.filter(taken_back_at__isnull=True).update(taken_back_at=now)
