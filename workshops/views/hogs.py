"""The hogs of a workshop and who owns them."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from workshops import access
from workshops.forms.hogs import HogForm, owners_of
from workshops.models import Animal, User, Workshop
from workshops.navigation import frame


@require_safe
@access.staff_page(access.SEE_ANIMALS)
def hogs(request: HttpRequest, slug: str) -> HttpResponse:
    """Every hog, in the order of the kill."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    context = frame(
        request,
        workshop,
        hogs=access.animals(user, workshop),
        may_change=user.has_perm(access.CHANGE_ANIMALS),
    )
    return render(request, "workshops/hogs.html", context)


@access.staff_page(access.CHANGE_ANIMALS)
def hog(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """One hog's page."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    return _hog_page(request, user, workshop, access.animal(user, workshop, animal_id))


@access.staff_page(access.CHANGE_ANIMALS)
def add(request: HttpRequest, slug: str) -> HttpResponse:
    """A new hog, the next in the order of the kill."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    last = access.animals(user, workshop).last()
    blank = Animal(workshop=workshop, order=last.order + 1 if last else 1)
    return _hog_page(request, user, workshop, blank)


def _hog_page(request: HttpRequest, user: User, workshop: Workshop, hog: Animal) -> HttpResponse:
    """A hog's form and its owners', read and changed together."""
    title = str(hog) if hog.pk else "Add a hog"
    form = HogForm(request.POST or None, hog=hog)
    owners = owners_of(hog, access.households(user), request.POST or None)
    if form.is_valid() and owners.is_valid() and form.write(owners):
        messages.success(request, f"{hog} is saved.")
        return redirect("hogs", workshop.slug)
    context = frame(request, workshop, form=form, owners=owners, title=title, hog_id=hog.pk)
    return render(request, "workshops/hog.html", context)
