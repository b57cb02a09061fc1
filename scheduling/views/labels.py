"""The labels of a hog's packages, as sheets to print."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from scheduling import package_labels
from scheduling.package_labels import LabelSheet
from scheduling.printing import NoPdfError
from workshops import access as people_access

SEE_PACKAGES = "stations.view_package"


@require_safe
@people_access.staff_page(SEE_PACKAGES)
def labels(request: HttpRequest, slug: str, animal_id: int) -> HttpResponse:
    """A PDF on the chosen label sheet."""
    user = people_access.signed_in(request)
    animal = people_access.animal(user, people_access.workshop(user, slug), animal_id)
    asked = request.GET.get("sheet", "")
    sheet = LabelSheet(asked) if asked in LabelSheet.values else LabelSheet.A4_8
    made = package_labels.labels_of(animal, sheet)
    if not made.pages:
        messages.info(request, f"Nothing of {animal} is packed yet, so there is nothing to label.")
        return redirect("packing-hog", slug, animal_id)
    try:
        content = package_labels.pdf(made)
    except NoPdfError as refusal:
        messages.error(request, str(refusal))
        return redirect("packing-hog", slug, animal_id)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="labels-{animal.pk}-{sheet.value}.pdf"'
    return answer
