"""The course's days as an iCalendar feed (RFC 5545), for staff and for each attendee."""

from __future__ import annotations

from datetime import datetime

from icalendar import Calendar, Event

from workshops.models import Day, Enrolment, Workshop


def of_workshop(workshop: Workshop, *, now: datetime) -> bytes:
    """Every day of the course. Uses prefetched ``days``."""
    return _calendar(workshop, [_event(day, day.at(day.opens), day.at(day.closes), now=now)
        for day in workshop.days.all()])  # fmt: skip


def of_attendee(seat: Enrolment, *, now: datetime) -> bytes:
    """The days that this person is here, cut to when they come and go."""
    events = []
    for day in seat.workshop.days.all():
        opens, closes = day.at(day.opens), day.at(day.closes)
        comes = max(opens, seat.arrives_at) if seat.arrives_at else opens
        goes = min(closes, seat.leaves_at) if seat.leaves_at else closes
        if comes < goes:
            events.append(_event(day, comes, goes, now=now))
    return _calendar(seat.workshop, events)


def _calendar(workshop: Workshop, events: list[Event]) -> bytes:
    made = Calendar()
    made.add("prodid", "-//Gambrel//Course days//EN")
    made.add("version", "2.0")
    made.add("x-wr-calname", workshop.name)
    for event in events:
        made.add_component(event)
    # A feed with farm times needs the rules of its zone (RFC 5545, 3.6.5).
    made.add_missing_timezones()
    return bytes(made.to_ical())


def _event(day: Day, begins: datetime, ends: datetime, *, now: datetime) -> Event:
    event = Event()
    # The same day keeps its name when its hours change, so that calendars move it.
    event.add("uid", f"day-{day.pk}@{day.workshop.slug}.gambrel")
    event.add("dtstamp", now)
    event.add("dtstart", begins)
    event.add("dtend", ends)
    event.add("summary", f"{day.workshop.name}: {day.title}" if day.title else day.workshop.name)
    event.add("location", ", ".join(filter(None, (day.workshop.farm, day.workshop.place))))
    return event
