"""The live trough: the same pages and acts for the staff and for those placed there by card."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Concatenate, ParamSpec

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from scheduling import access, alarming
from scheduling.access import TroughDoor
from scheduling.live_page import Live, live
from scheduling.trough_day import coming_hogs, end_to_take_back, last_checked
from scheduling.views.pressing import by_script, refused, written
from stations import access as station_access
from stations import dipping
from stations.dipping import Act
from stations.errors import DipRefused, ReadingQuestioned
from stations.forecasting import check_line, watch
from stations.forms.trough import ActForm, CheckForm, HairForm, ReadingForm, StartForm
from stations.models import Dip, DipEntry, HairSlip, HogPart
from workshops import access as people_access
from workshops.models import Topic
from workshops.navigation import frame
from workshops.views.seat import private

P = ParamSpec("P")
TroughPage = Callable[Concatenate[HttpRequest, TroughDoor, P], HttpResponse]
DIP_ACTS = ("read", "hair", "pour-hot", "pour-cold", "roll", "out", "mistake")


def by_staff(page: TroughPage[P]) -> Callable[..., HttpResponseBase]:
    """The page behind a sign-in."""

    @people_access.staff_page(station_access.TEND_TROUGH)
    def guarded(request: HttpRequest, /, slug: str, letter: str, **ids: Any) -> HttpResponse:
        # Any: the ids in the address, which the page itself names.
        door = access.staff_door(people_access.signed_in(request), slug, letter)
        return page(request, door, **ids)  # type: ignore[call-arg]  # ids come by keyword

    return guarded


def by_card(page: TroughPage[P]) -> Callable[..., HttpResponseBase]:
    """The page behind a private link and a place at this trough today."""

    def guarded(request: HttpRequest, word: str, letter: str, **ids: Any) -> HttpResponse:
        # Any: as above.
        door = access.card_door(word, letter, now=timezone.now())
        return private(page(request, door, **ids))  # type: ignore[call-arg]  # as above

    return guarded


@require_safe
@people_access.staff_page(station_access.TEND_TROUGH)
def troughs(request: HttpRequest, slug: str) -> HttpResponse:
    """The one trough there is; of several, or none, a choice."""
    workshop = people_access.workshop(request.user, slug)
    found = list(station_access.trough_stations(workshop))
    if len(found) == 1:
        return redirect("trough", slug, found[0].letter)
    return render(request, "stations/troughs.html", frame(request, workshop, stations=found))


@require_safe
def trough(request: HttpRequest, door: TroughDoor) -> HttpResponse:
    """The dip while a hog is in the water; otherwise what is needed to start one."""
    dip, now = station_access.dip_in_water(door.station), timezone.now()
    if dip is None:
        return _start_page(request, door, _start_form(None, door, now=now), now=now)
    return _dip_page(request, door, dip, _reading_form(None, door), now=now)


@require_safe
def now(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """The live parts alone; nothing once this hog is out, and the page then loads anew."""
    dip = station_access.dip_in_water(door.station)
    if dip is None or dip.pk != dip_id:
        return HttpResponse(status=204)
    return _live_parts(request, door, dip)


@require_POST
def start(request: HttpRequest, door: TroughDoor) -> HttpResponse:
    """In water."""
    at = timezone.now()
    form = _start_form(request.POST, door, now=at)
    if not form.is_valid():
        return _start_page(request, door, form, now=at)
    try:
        dipping.start(door.station, form.start(), form.act(door.hand, now=at))
    except ReadingQuestioned as question:
        return _start_page(request, door, form, now=at, question=str(question))
    except DipRefused as refusal:
        form.add_error(None, str(refusal))
        return _start_page(request, door, form, now=at)
    return written(request, door.page_url)


@require_POST
def check(request: HttpRequest, door: TroughDoor) -> HttpResponse:
    """A thermometer in ice water and at the boil."""
    at, form = timezone.now(), CheckForm(request.POST, workshop=door.workshop)
    if form.is_valid():
        told = form.cleaned_data
        try:
            made = dipping.check_thermometer(
                door.workshop,
                told["name"],
                form.act(door.hand, now=at),
                ice_c=told["ice_c"],
                boil_c=told["boil_c"],
            )
        except DipRefused as refusal:
            form.add_error(None, str(refusal))
        else:
            messages.success(request, f"{made.thermometer} is checked.")
            return written(request, door.page_url)
    blank = _start_form(None, door, now=at)
    return _start_page(request, door, blank, now=at, check_form=form)


@require_POST
def read(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """A reading; a strange one comes back with a question and is not written yet."""
    dip, form = station_access.dip(door.station, dip_id), _reading_form(request.POST, door)
    at, question = timezone.now(), ""
    if form.is_valid():
        sure, press = form.cleaned_data["confirmed"], form.act(door.hand, now=at)
        try:
            dipping.read(dip, form.cleaned_data["water_c"], press, confirmed=sure)
        except ReadingQuestioned as asked:
            question = str(asked)
        except DipRefused as refusal:
            return _refused(request, door, str(refusal))
        else:
            return _written(request, door, dip)
    if by_script(request):
        parts = _dip_context(door, dip, now=at) | {"reading": form, "question": question}
        return render(request, "stations/trough_reading.html", parts, status=422)
    return _dip_page(request, door, dip, form, now=at, question=question)


@require_POST
def hair(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """A hair test: where, and what it did."""
    dip, form = station_access.dip(door.station, dip_id), HairForm(request.POST)
    if not form.is_valid():
        return _refused(request, door, "Choose where the hair was pulled, and what it did.")
    part, hair = HogPart(form.cleaned_data["part"]), HairSlip(form.cleaned_data["hair"])
    return _do(
        request, door, dip, form, lambda press: dipping.test_hair(dip, press, part=part, hair=hair)
    )


@require_POST
def pour_hot(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """A bucket of boiling water went in."""
    return _plain(request, door, dip_id, dipping.pour_hot)


@require_POST
def pour_cold(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """A bucket of cold water went in."""
    return _plain(request, door, dip_id, dipping.pour_cold)


@require_POST
def roll(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """The hog was rolled."""
    return _plain(request, door, dip_id, dipping.roll)


@require_POST
def out(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """The hog is out."""
    return _plain(request, door, dip_id, dipping.pull)


@require_POST
def mistake(request: HttpRequest, door: TroughDoor, dip_id: int) -> HttpResponse:
    """The dip was started by mistake."""
    return _plain(request, door, dip_id, dipping.call_off)


@require_POST
def undo(request: HttpRequest, door: TroughDoor, dip_id: int, entry_id: int) -> HttpResponse:
    """Take one entry back."""
    dip, form = station_access.dip(door.station, dip_id), ActForm(request.POST)
    return _do(request, door, dip, form, lambda press: dipping.undo(dip, entry_id, press))


@require_POST
def seen(request: HttpRequest, door: TroughDoor) -> HttpResponse:
    """Somebody at the trough has seen an alarm and is on it."""
    key = request.POST.get("key", "")[:120]
    alarming.acknowledge(door.workshop, key, by=door.hand, now=timezone.now())
    return redirect(door.url("trough"))


# --- what the acts share -----------------------------------------------------------------------
def _plain(
    request: HttpRequest, door: TroughDoor, dip_id: int, act: Callable[[Dip, Act], object]
) -> HttpResponse:
    dip = station_access.dip(door.station, dip_id)
    return _do(request, door, dip, ActForm(request.POST), lambda press: act(dip, press))


def _do(
    request: HttpRequest,
    door: TroughDoor,
    dip: Dip,
    form: ActForm,
    write: Callable[[Act], object],
) -> HttpResponse:
    if not form.is_valid():
        return _refused(request, door, "That press came without its id. Load the page again.")
    try:
        write(form.act(door.hand, now=timezone.now()))
    except DipRefused as refusal:
        return _refused(request, door, str(refusal))
    return _written(request, door, dip)


def _written(request: HttpRequest, door: TroughDoor, dip: Dip) -> HttpResponse:
    """The fresh parts for a script; for a plain form the page again."""
    if by_script(request):
        fresh = station_access.dip(door.station, dip.pk)
        if fresh.ended_by is None:
            return _live_parts(request, door, fresh)
    return written(request, door.page_url)


def _refused(request: HttpRequest, door: TroughDoor, sentence: str) -> HttpResponse:
    return refused(request, sentence, door.page_url)


@dataclass(frozen=True, slots=True, kw_only=True)
class Press:
    """One button: where it posts, and an id of its own. No two buttons may share an id."""

    url: str
    form: ActForm


def _acts(door: TroughDoor, dip: Dip) -> dict[str, Press]:
    urls = {act.replace("-", "_"): door.url(f"trough-{act}", dip.pk) for act in DIP_ACTS}
    return {name: Press(url=url, form=ActForm()) for name, url in urls.items()}


def _undo(door: TroughDoor, entry: DipEntry | None) -> Press | None:
    if entry is None:
        return None
    return Press(url=door.url("trough-undo", entry.dip_id, entry.pk), form=ActForm())


def _dip_context(door: TroughDoor, dip: Dip, *, now: datetime) -> dict[str, object]:
    view = watch(dip, now=now)
    last = view.last
    return {
        "door": door,
        "workshop": door.workshop,
        "dip": dip,
        "view": view,
        "acts": _acts(door, dip),
        "now_url": door.url("trough-now", dip.pk),
        "undo": _undo(door, last.entry if last else None),
        "hair": HairForm(),
        "seen_url": door.url("trough-seen"),
        "alarms": alarming.standing(door.workshop),
        "server_ms": int(now.timestamp() * 1000),
    }


def _reading_form(data: Any, door: TroughDoor) -> ReadingForm:
    # Any: a QueryDict, or None.
    return ReadingForm(data, workshop=door.workshop, auto_id="reading-%s")


def _live_parts(request: HttpRequest, door: TroughDoor, dip: Dip) -> HttpResponse:
    parts = _dip_context(door, dip, now=timezone.now())
    return render(request, "stations/trough_live.html", parts)


def _dip_page(
    request: HttpRequest,
    door: TroughDoor,
    dip: Dip,
    form: ReadingForm,
    *,
    now: datetime,
    question: str = "",
) -> HttpResponse:
    page = {"live": _listening(door, now=now), "reading": form, "question": question}
    page |= _dip_context(door, dip, now=now)
    return render(request, "stations/trough.html", page, status=422 if form.is_bound else 200)


def _listening(door: TroughDoor, *, now: datetime) -> Live:
    return live(door.workshop, (Topic.DIP, Topic.ALARM), now=now, word=door.word)


def _start_form(data: Any, door: TroughDoor, *, now: datetime) -> StartForm:
    # Any: a QueryDict, or None.
    hogs = coming_hogs(door.station, now=now)
    known = list(station_access.thermometers(door.workshop))
    water_kg = door.station.trough.water_kg
    return StartForm(
        data,
        workshop=door.workshop,
        hogs=[(hog.animal, hog.words) for hog in hogs],
        thermometers=[(each, check_line(each, door.workshop.units, now=now)) for each in known],
        initial={"water_kg": water_kg, "thermometer": last_checked(known)},
    )


def _start_page(
    request: HttpRequest,
    door: TroughDoor,
    form: StartForm,
    *,
    now: datetime,
    question: str = "",
    check_form: CheckForm | None = None,
) -> HttpResponse:
    listening = _listening(door, now=now)
    last = station_access.dips_so_far(door.station).first()
    page = {
        "live": listening,
        "alarms": alarming.standing(door.workshop),
        "seen_url": door.url("trough-seen"),
        "door": door,
        "form": form,
        "question": question,
        "check": check_form or CheckForm(None, workshop=door.workshop, auto_id="check-%s"),
        "acts": {"start": door.url("trough-start"), "check": door.url("trough-check")},
        "last": last,
        "last_view": watch(last, now=now) if last else None,
        "undo": _undo(door, end_to_take_back(last, now=now)),
    }
    around = {"workshop": door.workshop} if door.word else frame(request, door.workshop)
    refused = form.is_bound or check_form is not None
    status = 422 if refused else 200
    return render(request, "stations/trough_start.html", page | around, status=status)
