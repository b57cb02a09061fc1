"""What households owe, and the budget; for the organizer alone."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from workshops import access, budgeting, ledger
from workshops.forms.money import CostForm, EntryForm
from workshops.models import Cost
from workshops.navigation import frame


@require_safe
@access.staff_page(access.SEE_MONEY)
def money(request: HttpRequest, slug: str) -> HttpResponse:
    """Every household's account, and the budget."""
    workshop = access.workshop(access.signed_in(request), slug)
    context = frame(
        request,
        workshop,
        accounts=ledger.accounts(workshop),
        budget=budgeting.budget(workshop),
    )
    return render(request, "workshops/money.html", context)


@access.staff_page(access.SEE_MONEY)
def account(request: HttpRequest, slug: str, household_id: int) -> HttpResponse:
    """One household's account, and a new amount."""
    user, now = access.signed_in(request), timezone.now()
    workshop = access.workshop(user, slug)
    household = access.household(user, workshop, household_id)
    form = EntryForm(request.POST or None, workshop=workshop)
    if form.is_valid():
        ledger.post(workshop, household, form.draft(), by=user, now=now)
        messages.success(request, "Written down.")
        return redirect("account", slug, household_id)
    shown = ledger.account(workshop, household)
    return render(
        request, "workshops/account.html", frame(request, workshop, account=shown, form=form)
    )


@require_POST
@access.staff_page(access.SEE_MONEY)
def reverse_entry(request: HttpRequest, slug: str, entry_id: int) -> HttpResponse:
    """Undo one amount by another that points at it."""
    user = access.signed_in(request)
    entry = get_object_or_404(access.workshop(user, slug).ledger, pk=entry_id)
    try:
        ledger.reverse(entry, by=user, now=timezone.now())
        messages.success(request, "Reversed; both stay in the account.")
    except ledger.AlreadyReversed as refusal:
        messages.error(request, str(refusal))
    return redirect("account", slug, entry.household_id)


@access.staff_page(access.SEE_MONEY)
def cost(request: HttpRequest, slug: str, cost_id: int | None = None) -> HttpResponse:
    """One line of the budget: a new one, or one to change."""
    workshop = access.workshop(access.signed_in(request), slug)
    line = get_object_or_404(workshop.costs, pk=cost_id) if cost_id else Cost(workshop=workshop)
    form = CostForm(request.POST or None, cost=line)
    if form.is_valid() and form.is_kept():
        messages.success(request, f"{line} is saved.")
        return redirect("money", slug)
    return render(request, "workshops/cost.html", frame(request, workshop, form=form, cost=line))


@require_POST
@access.staff_page(access.SEE_MONEY)
def remove_cost(request: HttpRequest, slug: str, cost_id: int) -> HttpResponse:
    """A line of the budget is a plan, not a record: it may go."""
    workshop = access.workshop(access.signed_in(request), slug)
    get_object_or_404(workshop.costs, pk=cost_id).delete()
    messages.success(request, "The line is taken off.")
    return redirect("money", slug)
