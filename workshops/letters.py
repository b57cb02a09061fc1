"""Letters to households: written with the change they tell of, sent afterwards by the worker.

A letter is a row first, in the same transaction as the change, so none is lost and none tells of
something that did not happen. Its words are made when it is sent, and kept nowhere.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from datetime import datetime, timedelta
from smtplib import SMTPException

from django.conf import settings
from django.core.mail import EmailMessage
from django.db.models import F, Q
from django.template.loader import render_to_string
from django.urls import reverse

from workshops.models import CardLink, Enrolment, Letter, LetterKind, LetterState, User

logger = logging.getLogger(__name__)

TRIES = 6
# A worker that died while sending leaves its letter so; after this it is tried again. The mailer
# gives up much sooner (EMAIL_TIMEOUT), so no live worker still holds it.
GIVE_UP_AFTER = timedelta(minutes=5)
WAIT_BETWEEN = timedelta(minutes=2)


def write(
    kind: LetterKind, party: Sequence[Enrolment], *, now: datetime, by: User | None = None
) -> Letter | None:
    """One letter for the party, if its household has an address; by the link of its first adult."""
    if not party or not party[0].attendee.household.email:
        return None
    return Letter.objects.create(seat=_speaks_for(party), kind=kind, made_at=now, made_by=by)


def send_waiting(*, now: datetime) -> int:
    """Send every letter that is due; answers how many went out.

    Each is claimed with one conditional update, so that two workers never send the same one.
    """
    due = Q(state=LetterState.TO_SEND) & (Q(tried_at=None) | Q(tried_at__lt=now - WAIT_BETWEEN))
    stuck = Q(state=LetterState.SENDING, tried_at__lt=now - GIVE_UP_AFTER)
    sent = 0
    for letter in Letter.objects.filter(due | stuck).select_related(
        "seat__workshop", "seat__attendee__household"
    ):
        claimed = Letter.objects.filter(pk=letter.pk, state=letter.state, tried_at=letter.tried_at)
        if claimed.update(state=LetterState.SENDING, tried_at=now, tries=F("tries") + 1):
            letter.tries += 1
            sent += _send(letter, now=now)
    return sent


def _send(letter: Letter, *, now: datetime) -> bool:
    try:
        message_of(letter, now=now).send()
    except (SMTPException, OSError) as error:
        over = letter.tries >= TRIES
        letter.state = LetterState.FAILED if over else LetterState.TO_SEND
        # The class alone: a mailer's own words may quote the address.
        logger.warning("Letter %s was not sent (%s).", letter.pk, type(error).__name__)
    else:
        letter.state, letter.sent_at = LetterState.SENT, now
    letter.save(update_fields=["state", "sent_at"])
    return letter.state == LetterState.SENT


def message_of(letter: Letter, *, now: datetime) -> EmailMessage:
    """The letter in words: the first line of its text is the subject."""
    seat = letter.seat
    link, _ = CardLink.objects.get_or_create(enrolment=seat)
    household = seat.attendee.household
    party = Enrolment.objects.for_workshop(seat.workshop).filter(attendee__household=household)
    text = render_to_string(
        f"emails/{letter.kind}.txt",
        {
            "seat": seat,
            "household": household,
            "workshop": seat.workshop,
            "party": [str(one) for one in party.select_related("attendee")],
            "days": list(seat.workshop.days.all()),
            "address": f"{settings.SITE_ADDRESS}{reverse('seat', args=[link.word])}",
            "ends": seat.offer_ends_at and seat.offer_ends_at.astimezone(seat.workshop.zone),
            "now": now,
        },
    )
    subject, _, body = text.strip().partition("\n")
    # A line break in a course's name must not become a header.
    return EmailMessage(" ".join(subject.split()), body.strip() + "\n", to=[household.email])


def _speaks_for(party: Sequence[Enrolment]) -> Enrolment:
    """The first adult of the party, else its first."""
    days = list(party[0].workshop.days.all())
    if not days:
        return party[0]
    adults = [seat for seat in party if not seat.attendee.is_minor_on(days[0].date)]
    return (adults or list(party))[0]
