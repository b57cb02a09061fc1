"""A course copied to new dates."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from stations import cloning
from stations.forms.clone import CloneForm
from workshops import access
from workshops.navigation import frame


@access.staff_page(access.EVERY_WORKSHOP)
def clone(request: HttpRequest, slug: str) -> HttpResponse:
    """Choose a name and a first day."""
    workshop = access.workshop(access.signed_in(request), slug)
    form = CloneForm(request.POST or None, workshop=workshop)
    if form.is_valid():
        name, day = form.cleaned_data["name"], form.cleaned_data["first_day"]
        made = cloning.clone(workshop, name, day, now=timezone.now())
        messages.success(request, f"{made} is made. Sign-ups are closed until you open them.")
        return redirect("course", made.slug)
    return render(request, "stations/clone.html", frame(request, workshop, form=form))
