"""Packing: every package weighed and numbered, hog by hog."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from stations import access, packing
from stations.forms.packing import PackageForm
from stations.models import PackageState
from stations.packing import PackingRefusedError
from workshops import access as people_access
from workshops import checking
from workshops.navigation import frame

see_page = people_access.staff_page(access.SEE_PACKAGES)
pack_page = people_access.staff_page(access.ADD_PACKAGES)
KEPT = ("kind", "cut", "cure")


@require_safe
@see_page
def hogs_packed(request: HttpRequest, slug: str) -> HttpResponse:
    """Each hog with what is packed of it."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    hogs = people_access.animals(user, workshop)
    rows = packing.packed(hogs, access.packages(workshop))
    mark = checking.package_mark(workshop)
    page = {"rows": rows, "mark": mark, "may_pack": user.has_perm(access.ADD_PACKAGES)}
    return render(request, "stations/packing.html", frame(request, workshop, **page))


@pack_page
def hog(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """The packages of one hog, and the next."""
    user = people_access.signed_in(request)
    workshop = people_access.workshop(user, slug)
    animal = people_access.animal(user, workshop, animal_id)
    before = {name: request.GET[name] for name in KEPT if name in request.GET}
    form = PackageForm(request.POST or None, units=workshop.units, before=before)
    if form.is_valid():
        made = packing.pack(animal, form.wrapped(), by=user, now=timezone.now())
        messages.success(request, f"Write {made.number} on it: {made.cut}.")
        keep = urlencode({name: form.cleaned_data[name] for name in KEPT})
        return redirect(f"{reverse('packing-hog', args=[slug, animal_id])}?{keep}")
    (shown,) = packing.packed([animal], access.packages(workshop).filter(animal=animal))
    context = frame(request, workshop, form=form, shown=shown)
    status = 422 if form.is_bound else 200
    return render(request, "stations/packing_hog.html", context, status=status)


def _set(request: HttpRequest, slug: str, package_id: int, state: PackageState) -> HttpResponse:
    """Change one package's state and go back to its hog."""
    workshop = people_access.workshop(people_access.signed_in(request), slug)
    package = access.package(workshop, package_id)
    try:
        packing.set_state(package, state)
        messages.success(request, f"Package {package.number}: {state.label}.")
    except PackingRefusedError as refusal:
        messages.error(request, str(refusal))
    return redirect("packing-hog", slug, package.animal_id)


@require_POST
@pack_page
def missing(request: HttpRequest, slug: str, package_id: int) -> HttpResponse:
    """It cannot be found."""
    return _set(request, slug, package_id, PackageState.MISSING)


@require_POST
@pack_page
def found(request: HttpRequest, slug: str, package_id: int) -> HttpResponse:
    """It is here after all."""
    return _set(request, slug, package_id, PackageState.HERE)


@require_POST
@pack_page
def mistake(request: HttpRequest, slug: str, package_id: int) -> HttpResponse:
    """It never was: typed by mistake."""
    return _set(request, slug, package_id, PackageState.MISTAKE)
