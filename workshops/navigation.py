"""The links at the top of every page, for one workshop and one person."""

from __future__ import annotations

from dataclasses import dataclass

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from workshops import access
from workshops.models import Workshop

# Permissions of the higher chapters, by name as their pages are.
SEE_EQUIPMENT = "stations.view_equipment"
SEE_RUN_SHEET = "scheduling.view_runsheet"
SEE_LOG = "scheduling.view_logentry"
TEND_TROUGH = "stations.add_dipentry"
SEE_AFTER = "stations.view_chillreading"
SEE_KITCHEN = "stations.view_kitchenbatch"
SEE_PACKAGES = "stations.view_package"


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """One link; ``current`` marks the page (or its chapter) that is open."""

    label: str
    url: str
    current: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A page of the house: its label, URL name, who may open it, and the pages that belong to it.

    The higher chapters are named by URL alone; nothing of theirs is imported.
    """

    label: str
    name: str
    permission: str
    of_a_day: bool = False
    also: tuple[str, ...] = ()


ROOMS = (
    Room(label="Overview", name="workshop", permission=access.SEE_WORKSHOP),
    Room(
        label="People",
        name="people",
        permission=access.SEE_PEOPLE,
        also=("person", "person-add", "bring-in", "bring-in-rows"),
    ),
    Room(
        label="Hogs",
        name="hogs",
        permission=access.SEE_ANIMALS,
        also=("hog", "hog-add", "hog-dips", "owners", "treatments"),
    ),
    Room(
        label="Scald",
        name="scald",
        permission=access.PLAN_DAYS,
        also=("scald-plan", "scald-keep", "scald-times"),
    ),
    Room(label="Equipment", name="equipment", permission=SEE_EQUIPMENT, also=("handling",)),
    Room(
        label="Course",
        name="course",
        permission=access.CHANGE_WORKSHOP,
        also=("menu", "clone"),
    ),
    Room(
        label="Money",
        name="money",
        permission=access.SEE_MONEY,
        also=("account", "cost", "cost-add"),
    ),
    Room(
        label="Run sheet",
        name="run-sheet",
        permission=SEE_RUN_SHEET,
        of_a_day=True,
        also=(
            *("day-asked", "break-add", "break-change", "absence-add", "hours-add"),
            *("method", "stage-change", "gap-add", "gap-change", "kit-hold-add", "station-change"),
        ),
    ),
    Room(label="Morning", name="morning", permission=access.PLAN_DAYS, of_a_day=True),
    Room(label="Board", name="board", permission=SEE_RUN_SHEET),
    Room(label="Trough", name="troughs", permission=TEND_TROUGH, also=("trough",)),
    Room(
        label="After the kill",
        name="after",
        permission=SEE_AFTER,
        also=(
            *("chill", "chill-hog", "chill-night", "chill-correct"),
            *("break-down", "break-down-hog", "weigh-correct"),
            *("cures", "cure", "cure-new", "food-logs", "food-log", "food-correct"),
        ),
    ),
    Room(
        label="Kitchen",
        name="kitchen",
        permission=SEE_KITCHEN,
        also=("kitchen-add", "kitchen-menu", "kitchen-batch", "pantry"),
    ),
    Room(
        label="Packages",
        name="packing",
        permission=SEE_PACKAGES,
        also=("packing-hog", "shares", "kind-wishes"),
    ),
    Room(
        label="Log",
        name="day-log",
        permission=SEE_LOG,
        of_a_day=True,
        also=("hog-log", "person-log", "log-correct"),
    ),
    Room(
        label="Record",
        name="record",
        permission=SEE_LOG,
        also=("record-hog", "record-person", "certificate"),
    ),
    Room(label="Print room", name="print-room", permission=access.PLAN_DAYS),
)


def nav(
    request: HttpRequest, workshop: Workshop | None = None, *, day_number: int | None = None
) -> list[Link]:
    """The links this person may follow, with the open page marked.

    ``day_number`` is the day the page is about; without it, today's, else the first. Costs a
    query for the days unless it is given or the days are prefetched.
    """
    match = request.resolver_match
    here = match.url_name if match else ""
    links = [Link(label="Home", url=reverse("home"), current=here == "home")]
    if workshop is None:
        return links
    number = day_number or day_number_today(workshop)
    for room in ROOMS:
        if (room.of_a_day and number is None) or not request.user.has_perm(room.permission):
            continue
        day = [number] if room.of_a_day else []
        url = reverse(room.name, args=[workshop.slug, *day])
        links.append(Link(label=room.label, url=url, current=here in (room.name, *room.also)))
    return links


def day_number_today(workshop: Workshop) -> int | None:
    """The number of today's day, of the first one on other dates, or None without days."""
    today = timezone.localdate(timezone=workshop.zone)
    dates = [day.date for day in workshop.days.all()]
    if not dates:
        return None
    return dates.index(today) + 1 if today in dates else 1


def frame(
    request: HttpRequest, workshop: Workshop | None = None, **context: object
) -> dict[str, object]:
    """A page's context with what the frame around it needs."""
    return {"nav": nav(request, workshop), "workshop": workshop, **context}
