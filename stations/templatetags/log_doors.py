"""The door from a station to the log that is kept there."""

from __future__ import annotations

from django import template
from django.urls import reverse

from stations.models import Station, WritesDown

register = template.Library()


@register.simple_tag
def log_door(station: Station, slug: str, animal_id: int | None = None) -> str:
    """The address of the station's log, of one hog where it has one; empty for none.

    ``slug`` is the workshop's: asking the station for it would cost a query for each row.
    """
    kept = WritesDown(station.writes_down)
    if animal_id is not None and kept.page_of_a_hog:
        return reverse(kept.page_of_a_hog, args=[slug, animal_id])
    return reverse(kept.page, args=[slug]) if kept.page else ""
