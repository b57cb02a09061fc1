"""The public sign-up page, and its form half filled in."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from workshops import access, public_page, signing_up, throttling
from workshops.forms.layout import Data
from workshops.forms.sign_up import SignUpPage, with_people
from workshops.models import Workshop


@require_http_methods(["GET", "HEAD", "POST"])
def sign_up(request: HttpRequest, slug: str) -> HttpResponse:
    """Read about the course, and sign up."""
    workshop = access.open_workshop(slug)
    text = signing_up.current_waiver(workshop)
    draft = request.session.get(_kept(workshop))
    if request.method != "POST":
        data = QueryDict(draft) if draft else None
        page = SignUpPage(data, workshop, text)
        return _page(request, page.as_typed() if draft else page)
    page = SignUpPage(request.POST, workshop, text)
    _keep(request, workshop, request.POST)
    if page.is_valid():
        return _send(request, page)
    return _page(request, page)


@require_POST
def more(request: HttpRequest, slug: str) -> HttpResponse:
    """Room for one more person; what is typed stays."""
    return _again(request, slug, with_people(request.POST, change=1))


@require_POST
def fewer(request: HttpRequest, slug: str) -> HttpResponse:
    """The last person is taken off the form."""
    return _again(request, slug, with_people(request.POST, change=-1))


@require_POST
def keep(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep what is typed, to go on later on this phone."""
    messages.success(request, "Kept on this phone for two weeks. Nothing is sent yet.")
    return _again(request, slug, request.POST)


def _again(request: HttpRequest, slug: str, data: Data) -> HttpResponse:
    """Keep the draft and show the page anew, at the people."""
    workshop = access.open_workshop(slug)
    _keep(request, workshop, data)
    return redirect(f"{reverse('sign-up', args=[slug])}#people")


def _send(request: HttpRequest, page: SignUpPage) -> HttpResponse:
    """Write the form; what stands in the way is told above it."""
    now, place = timezone.now(), throttling.place_of(request)
    read = page.home.cleaned_data["waiver_read"]
    try:
        throttling.check(throttling.SIGN_UP, place, now=now)
        seat = signing_up.sign_up(page.workshop, page.typed(), read=read, now=now)
    except throttling.TooOften as refusal:
        page.home.add_error(None, str(refusal))
        return _page(request, page)
    except signing_up.WaiverChanged as refusal:
        page.home.read_again(page.text)
        page.home.add_error(None, str(refusal))
        return _page(request, page)
    throttling.count(throttling.SIGN_UP, place, now=now)
    request.session.pop(_kept(page.workshop), None)
    return redirect("seat", seat.link.word)


def _page(request: HttpRequest, page: SignUpPage) -> HttpResponse:
    context = public_page.read(page.workshop, now=timezone.now())
    response = render(
        request,
        "workshops/sign_up.html",
        {"page": context, "form": page, "workshop": page.workshop},
    )
    # It may hold what someone typed.
    response["Cache-Control"] = "private, no-store"
    return response


def _keep(request: HttpRequest, workshop: Workshop, data: Data) -> None:
    request.session[_kept(workshop)] = data.urlencode()


def _kept(workshop: Workshop) -> str:
    """The name of the draft in the visitor's session."""
    return f"sign-up {workshop.pk}"
