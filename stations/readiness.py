"""What a course still lacks: the people's chapter's list, and the thermometers of this one."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.db.models import QuerySet
from django.urls import reverse

from stations.models import Thermometer
from workshops import readiness
from workshops.models import Workshop
from workshops.readiness import Lack

# Common practice, no source.
CHECK_STANDS_DAYS = 30


def with_all_it_needs(workshops: QuerySet[Workshop]) -> QuerySet[Workshop]:
    """The workshops with every row that :func:`lacks` asks for, in a fixed number of queries."""
    return readiness.with_all_it_needs(workshops).prefetch_related("thermometers__checks")


def lacks(workshop: Workshop) -> list[Lack]:
    """Everything that is missing, the gravest first. Uses the prefetched rows."""
    return [*readiness.lacks(workshop), *_thermometers(workshop)]


def _thermometers(workshop: Workshop) -> Iterator[Lack]:
    """Each was checked within a month of the first day, as it is noted at the trough."""
    days, here = list(workshop.days.all()), list(workshop.thermometers.all())
    if not days:
        return
    url = reverse("troughs", args=[workshop.slug])
    if not here:
        yield Lack(
            sentence="No thermometer check is written down; check each in ice and at the boil.",
            url=url,
        )
    stands_from = days[0].midnight - timedelta(days=CHECK_STANDS_DAYS)
    for thermometer in here:
        if said := _overdue(thermometer, stands_from):
            yield Lack(sentence=said, url=url)


def _overdue(thermometer: Thermometer, stands_from: datetime) -> str:
    """What is wrong with its last check, if anything is."""
    check = thermometer.last_check
    if check is None:
        return f"{thermometer} was never checked; check it in ice and at the boil."
    if check.at >= stands_from:
        return ""
    return (
        f"{thermometer} was last checked on {check.at:%d %b %Y}, more than {CHECK_STANDS_DAYS} "
        "days before the course; check it again."
    )
