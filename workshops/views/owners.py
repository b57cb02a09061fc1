"""Owners of record: what rules turn on, the local check, and treatments."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from workshops import access, checking
from workshops.forms.owners import LocalCheckForm, TreatmentForm
from workshops.navigation import frame


@access.staff_page(access.CHANGE_ANIMALS)
def owners(request: HttpRequest, slug: str) -> HttpResponse:
    """Who owns which hog, the facts with their sources, and the tick."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    form = LocalCheckForm(request.POST or None, workshop=workshop)
    if form.is_valid():
        checking.tick(workshop, form.instance, now=timezone.now())
        messages.success(request, "Written down.")
        return redirect("owners", slug)
    context = frame(
        request,
        workshop,
        hogs=access.animals(user, workshop),
        facts=checking.FACTS,
        check=checking.current(workshop),
        mark=checking.package_mark(workshop),
        form=form,
    )
    return render(request, "workshops/owners.html", context)


@require_POST
@access.staff_page(access.CHANGE_ANIMALS)
def take_back_check(request: HttpRequest, slug: str) -> HttpResponse:
    """The tick is taken back; what was ticked is kept."""
    workshop = access.workshop(access.signed_in(request), slug)
    checking.take_back(workshop, now=timezone.now())
    messages.success(request, "Taken back. It is on the list of what is missing again.")
    return redirect("owners", slug)


@access.staff_page(access.CHANGE_ANIMALS)
def treatments(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """What one hog was given, and a new treatment."""
    user = access.signed_in(request)
    workshop = access.workshop(user, slug)
    hog = access.animal(user, workshop, animal_id)
    form = TreatmentForm(request.POST or None, hog=hog)
    if form.is_valid():
        form.save()
        messages.success(request, f"{form.instance} is written down.")
        return redirect("treatments", slug, animal_id)
    return render(
        request, "workshops/treatments.html", frame(request, workshop, hog=hog, form=form)
    )


@require_POST
@access.staff_page(access.CHANGE_ANIMALS)
def remove_treatment(request: HttpRequest, slug: str, treatment_id: int) -> HttpResponse:
    """A treatment that was written down by mistake."""
    user = access.signed_in(request)
    hogs = access.animals(user, access.workshop(user, slug))
    hog = get_object_or_404(hogs, treatments=treatment_id)
    hog.treatments.filter(pk=treatment_id).delete()
    messages.success(request, "Taken off.")
    return redirect("treatments", slug, hog.pk)
