"""Swaps and rests: asked on the card, held against rules and plan, confirmed once by the lead."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, time, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from scheduling import access, asked, drafting, posting, swaps, telling, trying
from scheduling.models import (
    Attendance,
    LogEntry,
    LogKind,
    Mark,
    Placement,
    RunSheet,
    SheetStatus,
    Swap,
    SwapKind,
    SwapState,
    Turnout,
)
from scheduling.swaps import SwapRefused
from stations.dipping import Act, Hand
from tests.build import (
    NOW,
    make_actual,
    make_duty,
    make_enrolment,
    make_hog,
    make_link,
    make_placement,
    make_run_sheet,
    make_stage,
    make_station,
    make_step,
    make_workshop,
)
from tests.cast import client_of, make_helper, make_lead
from workshops import forgetting
from workshops.models import Day, Enrolment, Limit, Pulse, Topic, User

pytestmark = pytest.mark.django_db
EARLY = NOW - timedelta(minutes=30)


@dataclass
class Yard:
    """A posted morning: two hogs an hour apart, a timer and a bucket at each, someone free."""

    day: Day
    lead: User
    edda: Enrolment
    finn: Enrolment
    oda: Enrolment
    wren: Enrolment

    def place(self, seat: Enrolment) -> Placement:
        """Someone's place in the posted sheet."""
        rows = Placement.objects.filter(enrolment=seat, step__run_sheet__status="posted")
        return rows.select_related("step__run_sheet__day__workshop", "duty").get()

    def holder(self, tag: str, duty: str) -> str:
        """Who is posted at a duty of a hog's step."""
        rows = Placement.objects.filter(step__run_sheet__status="posted", duty__name=duty)
        return rows.get(step__animal__tag=tag).person_name

    def crews(self) -> dict[tuple[str, str], str]:
        """Everyone of the posted sheet."""
        return {
            (tag, duty): self.holder(tag, duty)
            for tag in ("1", "2")
            for duty in ("Timer", "Bucket")
        }


@pytest.fixture
def yard() -> Yard:
    workshop = make_workshop(days=1)
    station = make_station(workshop, name="Trough")
    timer = make_duty(station, name="Timer", hands=1)
    bucket = make_duty(station, name="Bucket", hands=1, hot=True)
    stage = make_stage(station, name="Scald", duties=[timer, bucket])
    day = workshop.days.get()
    sheet = make_run_sheet(day, SheetStatus.POSTED)
    people = {
        "Edda": make_enrolment(workshop, given_name="Edda"),
        "Finn": make_enrolment(workshop, given_name="Finn"),
        "Oda": make_enrolment(workshop, given_name="Oda", limits=[Limit.NO_HOT_WATER]),
        "Wren": make_enrolment(workshop, given_name="Wren"),
    }
    first = make_step(sheet, stage, animal=make_hog(workshop, tag="1"), starts=time(9))
    second = make_step(sheet, stage, animal=make_hog(workshop, tag="2"), starts=time(10))
    make_placement(first, timer, enrolment=people["Edda"])
    make_placement(first, bucket, enrolment=make_enrolment(workshop, given_name="Bram"))
    make_placement(second, timer, enrolment=people["Oda"])
    make_placement(second, bucket, enrolment=people["Finn"])
    for seat in people.values():
        make_link(seat)
    seats = {name.lower(): seat for name, seat in people.items()}
    return Yard(day=day, lead=make_lead(workshop), **seats)


def act(seat: Enrolment, now: datetime = EARLY) -> Act:
    return Act(by=Hand(enrolment=seat), client_id=uuid4(), now=now)


def ask(yard: Yard, mine: Enrolment, theirs: Enrolment, *, now: datetime = EARLY) -> Swap:
    return swaps.ask(yard.place(mine), yard.place(theirs), act(mine, now))


def agreed(yard: Yard) -> Swap:
    """Edda and Finn have agreed to swap."""
    swap = ask(yard, yard.edda, yard.finn)
    swaps.agree(swap, now=EARLY)
    swap.refresh_from_db()
    return swap


def post_again(yard: Yard, *, later: timedelta = timedelta(0)) -> None:
    """The lead posts a draft of the day, its steps so much later."""
    draft = drafting.draft_for(yard.day, by=yard.lead)
    times = {
        step.code: (step.starts_at + later, step.ends_at + later) for step in draft.steps.all()
    }
    drafting.shift(draft, times)
    fresh = RunSheet.objects.with_steps().get(pk=draft.pk)
    posting.post(fresh, by=yard.lead, now=EARLY)


def told(day: Day) -> set[str]:
    return {one.seat.attendee.given_name for one in telling.to_tell(day)}


# --- two ask, the lead confirms ------------------------------------------------------------------
def test_a_swap_that_both_want_and_the_lead_confirms_is_the_new_plan(yard: Yard) -> None:
    """A new version with the two changed and nobody else; both are to be told."""
    before = yard.crews()
    swap = agreed(yard)
    assert swap.state == SwapState.AGREED
    assert yard.crews() == before
    assert swaps.confirm(swap, by=yard.lead, now=EARLY)
    assert yard.crews() == before | {("1", "Timer"): "Finn", ("2", "Bucket"): "Edda"}
    assert RunSheet.objects.get(status=SheetStatus.POSTED).version == 2
    assert told(yard.day) == {"Edda", "Finn"}


def test_each_word_of_a_swap_stands_in_the_duty_log(yard: Yard) -> None:
    """Who asked, who agreed, and on each one's own page what they took from whom; with the hog."""
    swaps.confirm(agreed(yard), by=yard.lead, now=EARLY)
    said = [(row.writer, row.person, row.text) for row in LogEntry.objects.order_by("pk")]
    assert said == [
        ("Edda", "Edda", "Edda asks Finn to swap timer at Scald, Hog 1 (09:00) for bucket at "
         "Scald, Hog 2 (10:00)."),
        ("Finn", "Edda", "Finn agrees to swap with Edda."),
        ("lead", "Finn", "Finn takes timer at Scald, Hog 1 (09:00) from Edda. "
         "The lead has confirmed it."),
        ("lead", "Edda", "Edda takes bucket at Scald, Hog 2 (10:00) from Finn. "
         "The lead has confirmed it."),
    ]  # fmt: skip
    kinds = set(LogEntry.objects.values_list("kind", "station__name", "animal__tag"))
    assert kinds == {(LogKind.SWAP, "Trough", "1"), (LogKind.SWAP, "Trough", "2")}


def test_a_second_tap_of_the_lead_changes_nothing_more(yard: Yard) -> None:
    """Two leads, or one on a slow link: one posting, one line in the log for each place."""
    swap = agreed(yard)
    stale = Swap.objects.get(pk=swap.pk)
    assert swaps.confirm(swap, by=yard.lead, now=EARLY)
    assert swaps.confirm(stale, by=make_helper(yard.day.workshop), now=EARLY)
    assert RunSheet.objects.count() == 2
    assert LogEntry.objects.count() == 4
    swap.refresh_from_db()
    assert swap.settled_by == yard.lead


def test_the_second_of_two_leads_who_differ_is_told_how_it_stands(yard: Yard) -> None:
    """One confirms while the other refuses: the first word counts, whichever it is."""
    swap = agreed(yard)
    stale = Swap.objects.get(pk=swap.pk)
    swaps.confirm(swap, by=yard.lead, now=EARLY)
    with pytest.raises(SwapRefused, match=r"settled meanwhile: confirmed"):
        swaps.refuse(stale, by=yard.lead, now=EARLY)
    assert yard.holder("1", "Timer") == "Finn"


def test_a_refusal_that_came_first_stops_the_confirmation(yard: Yard) -> None:
    """Nobody's place changes then."""
    swap = agreed(yard)
    stale = Swap.objects.get(pk=swap.pk)
    swaps.refuse(swap, by=yard.lead, now=EARLY)
    with pytest.raises(SwapRefused, match=r"declined\. The lead has looked at it"):
        swaps.confirm(stale, by=yard.lead, now=EARLY)
    assert yard.holder("1", "Timer") == "Edda"


def test_a_press_that_arrives_twice_asks_once(yard: Yard) -> None:
    """By the id that the phone made."""
    press = act(yard.edda)
    first = swaps.ask(yard.place(yard.edda), yard.place(yard.finn), press)
    assert swaps.ask(yard.place(yard.edda), yard.place(yard.finn), press) == first
    assert (Swap.objects.count(), LogEntry.objects.count()) == (1, 1)


def test_a_place_has_one_open_request(yard: Yard) -> None:
    """A second wish for it waits until the first is taken back."""
    swap = ask(yard, yard.edda, yard.finn)
    with pytest.raises(SwapRefused, match=r"asked about this place already\. Take that back"):
        swaps.ask_rest(yard.place(yard.edda), act(yard.edda))
    swaps.take_back(swap, now=EARLY)
    assert swaps.ask_rest(yard.place(yard.edda), act(yard.edda)).kind == SwapKind.REST


def test_who_is_asked_may_say_no_and_who_asked_may_think_again(yard: Yard) -> None:
    """The other answer, a moment later, is told how it stands."""
    swap = ask(yard, yard.edda, yard.finn)
    stale = Swap.objects.get(pk=swap.pk)
    swaps.decline(swap, now=EARLY)
    with pytest.raises(SwapRefused, match=r"declined\. Finn would rather not"):
        swaps.take_back(stale, now=EARLY)
    with pytest.raises(SwapRefused, match="declined"):
        swaps.agree(Swap.objects.get(pk=swap.pk), now=EARLY)
    again = ask(yard, yard.edda, yard.finn)
    swaps.take_back(again, now=EARLY)
    with pytest.raises(SwapRefused, match=r"no longer stands\. Edda took it back"):
        swaps.agree(Swap.objects.get(pk=again.pk), now=EARLY)


def test_a_yes_that_arrives_twice_or_after_the_lead_is_no_error(yard: Yard) -> None:
    """A slow phone sends it again."""
    swap = agreed(yard)
    swaps.agree(swap, now=EARLY)
    swaps.confirm(swap, by=yard.lead, now=EARLY)
    swaps.agree(Swap.objects.get(pk=swap.pk), now=EARLY)
    assert Swap.objects.get(pk=swap.pk).state == SwapState.CONFIRMED


# --- rules and plan ------------------------------------------------------------------------------
def test_the_rules_say_at_once_why_not_and_keep_what_is_private(yard: Yard) -> None:
    """One's own limit is said plainly; of another's only that it cannot be."""
    with pytest.raises(SwapRefused) as own:
        ask(yard, yard.oda, yard_bram(yard))
    assert str(own.value) == (
        "Bucket at Scald, Hog 1: Nobody takes a duty that one of their limits rules out."
    )
    with pytest.raises(SwapRefused) as theirs:
        ask(yard, yard_bram(yard), yard.oda)
    assert str(theirs.value) == (
        "Oda cannot take your place by the rules. Ask the lead, or another."
    )
    assert Swap.objects.count() == 0


def yard_bram(yard: Yard) -> Enrolment:
    return Enrolment.objects.get(workshop=yard.day.workshop, attendee__given_name="Bram")


def test_the_page_lists_whose_place_can_be_had_and_whose_not(yard: Yard) -> None:
    """For the bucket at the first hog: Finn's is the same work elsewhere, Oda may not pour."""
    sheet = access.posted(yard.day)
    assert sheet is not None
    table = trying.read(sheet)
    mine = table.like(yard.place(yard_bram(yard)))
    assert mine is not None
    found = {offer.row.person_name: offer.sentence for offer in trying.offers(table, mine, now=NOW)}
    assert found["Edda"] == found["Finn"] == ""
    assert "Oda cannot take your place" in found["Oda"]


def test_a_step_that_has_begun_is_not_swapped(yard: Yard) -> None:
    """By the clock, or because somebody pressed Started before its time."""
    with pytest.raises(SwapRefused, match=r"Scald, Hog 1 has begun, so it stays as it is"):
        ask(yard, yard.edda, yard.finn, now=NOW + timedelta(hours=1))
    make_actual(yard.place(yard.finn).step, Mark.STARTED, at=EARLY)
    with pytest.raises(SwapRefused, match=r"Scald, Hog 2 has begun"):
        ask(yard, yard.edda, yard.finn)


def test_a_plan_posted_since_with_the_same_places_lets_the_swap_be(yard: Yard) -> None:
    """A phone that waited for its link shows an older version; the place is the same."""
    mine, theirs = yard.place(yard.edda), yard.place(yard.finn)
    post_again(yard)
    swap = swaps.ask(mine, theirs, act(yard.edda))
    swaps.agree(swap, now=EARLY)
    post_again(yard)
    assert swaps.confirm(Swap.objects.get(pk=swap.pk), by=yard.lead, now=EARLY)
    assert yard.holder("1", "Timer") == "Finn"


def test_a_plan_posted_between_asking_and_confirming_is_never_undone(yard: Yard) -> None:
    """Its times are others: the swap no longer stands, and the words say what is different."""
    swap = agreed(yard)
    post_again(yard, later=timedelta(minutes=15))
    crews = yard.crews()
    with pytest.raises(SwapRefused, match=r"moved since: Scald, Hog 1 is at 09:15 now\."):
        swaps.confirm(swap, by=yard.lead, now=EARLY)
    swap.refresh_from_db()
    assert swap.state == SwapState.GONE
    assert yard.crews() == crews
    with pytest.raises(SwapRefused, match="no longer stands"):
        swaps.confirm(swap, by=yard.lead, now=EARLY)


def test_a_place_that_went_to_someone_else_meanwhile_is_not_swapped(yard: Yard) -> None:
    """Another swap was confirmed first."""
    swap = agreed(yard)
    other = ask(yard, yard_bram(yard), yard.finn)
    swaps.agree(other, now=EARLY)
    swaps.confirm(Swap.objects.get(pk=other.pk), by=yard.lead, now=EARLY)
    with pytest.raises(SwapRefused, match=r"Finn no longer has that place at Scald, Hog 2"):
        swaps.confirm(swap, by=yard.lead, now=EARLY)


def test_a_version_posted_at_the_very_same_moment_wins(yard: Yard) -> None:
    """The posting that was read has gone meanwhile: nothing is written over it."""
    sheet = access.posted(yard.day)
    assert sheet is not None
    post_again(yard)
    with pytest.raises(drafting.DraftMovedError):
        posting.post_hands(sheet, {}, by=yard.lead, now=EARLY)
    assert RunSheet.objects.get(status=SheetStatus.POSTED).version == 2


def test_a_draft_takes_the_swap_over_unless_it_has_others_there(yard: Yard) -> None:
    """Else posting the draft would undo the swap without a word."""
    draft = drafting.draft_for(yard.day, by=yard.lead)
    swap = agreed(yard)
    assert swaps.confirm(swap, by=yard.lead, now=EARLY)
    timers = Placement.objects.filter(step__run_sheet=draft, step__animal__tag="1")
    assert timers.get(duty__name="Timer").person_name == "Finn"
    timers.filter(duty__name="Timer").update(enrolment=yard.wren)
    back = ask(yard, yard.finn, yard.edda)
    swaps.agree(back, now=EARLY)
    assert not swaps.confirm(Swap.objects.get(pk=back.pk), by=yard.lead, now=EARLY)
    assert timers.get(duty__name="Timer").person_name == "Wren"


# --- a rest --------------------------------------------------------------------------------------
def test_a_rest_is_given_to_whoever_has_done_least_and_may(yard: Yard) -> None:
    """Wren has no duty today; the lead confirms, and both are told."""
    swap = swaps.ask_rest(yard.place(yard.edda), act(yard.edda))
    assert swap.sentence == "Edda needs a rest: Wren takes timer at Scald, Hog 1 (09:00)."
    assert yard.holder("1", "Timer") == "Edda"
    assert swaps.confirm(swap, by=yard.lead, now=EARLY)
    assert yard.holder("1", "Timer") == "Wren"
    assert told(yard.day) == {"Edda", "Wren"}
    texts = list(LogEntry.objects.filter(kind=LogKind.REST).values_list("text", flat=True))
    assert texts == [
        "Edda asks for a rest from timer at Scald, Hog 1 (09:00).",
        "Wren takes timer at Scald, Hog 1 (09:00) from Edda. The lead has confirmed it.",
    ]


def test_a_rest_may_be_asked_for_in_the_middle_of_a_step(yard: Yard) -> None:
    """Until it is over."""
    start = yard.place(yard.edda).step.starts_at
    with pytest.raises(SwapRefused, match=r"Scald, Hog 1 is over"):
        swaps.ask_rest(yard.place(yard.edda), act(yard.edda, start + timedelta(hours=1)))
    now = start + timedelta(minutes=5)
    swap = swaps.ask_rest(yard.place(yard.edda), act(yard.edda, now))
    assert swaps.confirm(swap, by=yard.lead, now=now)


def test_a_substitute_who_went_home_is_replaced_before_the_lead_confirms(yard: Yard) -> None:
    """The rest stays asked for; the lead sees who is next and taps again."""
    swap = swaps.ask_rest(yard.place(yard.edda), act(yard.edda))
    Attendance.objects.create(day=yard.day, enrolment=yard.wren, turnout=Turnout.AWAY)
    with pytest.raises(SwapRefused, match=r"(Finn|Oda) may take over instead: look, then confirm"):
        swaps.confirm(swap, by=yard.lead, now=EARLY)
    swap.refresh_from_db()
    assert swap.state == SwapState.AGREED
    assert swap.other_name in {"Finn", "Oda"}
    assert swaps.confirm(swap, by=yard.lead, now=EARLY)


def test_a_rest_that_nobody_can_take_is_told_to_the_lead_all_the_same(yard: Yard) -> None:
    """There is nothing to confirm; it is put away once the lead has seen to it."""
    for seat in Enrolment.objects.exclude(pk=yard.edda.pk):
        Attendance.objects.create(day=yard.day, enrolment=seat, turnout=Turnout.AWAY)
    swap = swaps.ask_rest(yard.place(yard.edda), act(yard.edda))
    [line] = asked.for_lead(yard.day, access.posted(yard.day), now=EARLY)
    assert (line.may_confirm, line.no_word) == (False, "Put away")
    assert line.standing == swaps.NOBODY_FREE
    with pytest.raises(SwapRefused, match="Nobody who is free may take it"):
        swaps.confirm(swap, by=yard.lead, now=EARLY)
    swaps.refuse(swap, by=yard.lead, now=EARLY)
    assert asked.for_lead(yard.day, access.posted(yard.day), now=EARLY) == []


# --- the pages -----------------------------------------------------------------------------------
def test_the_whole_way_through_the_pages(yard: Yard, client: Client) -> None:
    """Edda asks on her card, Finn says yes on his, the lead taps once on the Morning page."""
    edda, finn = yard.edda.link.word, yard.finn.link.word
    place = yard.place(yard.edda)
    page = client.get(reverse("card-change", args=[edda, place.pk])).content.decode()
    assert "I need a rest" in page
    assert "Bucket, Scald, Hog 2, 10:00" in page
    press = {"client_id": uuid4(), "theirs": yard.place(yard.finn).pk}
    client.post(reverse("card-swap-ask", args=[edda, place.pk]), press)
    swap = Swap.objects.get()
    assert "Waiting for Finn." in client.get(reverse("card", args=[edda])).content.decode()
    assert "Edda asks to swap" in client.get(reverse("card", args=[finn])).content.decode()
    client.post(reverse("card-swap-yes", args=[finn, swap.pk]))
    lead = client_of(yard.lead)
    where = [yard.day.workshop.slug, 1]
    for name in ("morning", "run-sheet"):
        shown = lead.get(reverse(name, args=where)).content.decode()
        assert "Edda takes bucket at Scald, Hog 2 (10:00); Finn takes timer" in shown
    tap = {"other": yard.finn.pk, "page": "run-sheet"}
    answer = lead.post(reverse("swap-confirm", args=[*where, swap.pk]), tap, follow=True)
    assert answer.redirect_chain[-1][0] == reverse("run-sheet", args=where)
    assert "Posted. Edda takes bucket" in answer.content.decode()
    assert yard.holder("1", "Timer") == "Finn"
    assert "The lead has confirmed it." in client.get(reverse("card", args=[finn])).content.decode()


def test_what_the_script_sends_is_answered_in_short(yard: Yard, client: Client) -> None:
    """Written, or refused with the reason: the phone keeps the press until one of these comes."""
    word, place = yard.edda.link.word, yard.place(yard.edda)
    url = reverse("card-rest", args=[word, place.pk])
    press = {"client_id": uuid4(), "waited_ms": 60_000}
    answers = [client.post(url, press, headers={"X-Fragment": "1"}) for _ in range(2)]
    assert [answer.status_code for answer in answers] == [204, 204]
    again = client.post(url, {"client_id": uuid4()}, headers={"X-Fragment": "1"})
    assert again.status_code == 409
    assert "You have asked about this place already." in again.content.decode()
    assert client.post(url, {}, headers={"X-Fragment": "1"}).status_code == 409


def test_a_tap_on_a_page_that_named_another_substitute_confirms_nobody(yard: Yard) -> None:
    """The lead sees who it is now, and taps again."""
    swap = swaps.ask_rest(yard.place(yard.edda), act(yard.edda))
    url = reverse("swap-confirm", args=[yard.day.workshop.slug, 1, swap.pk])
    answer = client_of(yard.lead).post(url, {"other": yard.finn.pk}, follow=True)
    assert "Someone else may take over now. Look again, then confirm." in answer.content.decode()
    assert yard.holder("1", "Timer") == "Edda"


def test_the_helpers_page_shows_no_requests(yard: Yard) -> None:
    """Who posts, confirms."""
    swaps.ask_rest(yard.place(yard.edda), act(yard.edda))
    helper = client_of(make_helper(yard.day.workshop))
    url = reverse("run-sheet", args=[yard.day.workshop.slug, 1])
    assert "Swaps and rests" not in helper.get(url).content.decode()


def test_each_answer_wakes_the_pages_that_show_it(yard: Yard) -> None:
    """Cards, the morning and the day's page listen to this topic."""

    def beats() -> int:
        found = Pulse.objects.filter(topic=Topic.SWAP).values_list("count", flat=True)
        return next(iter(found), 0)

    swap = ask(yard, yard.edda, yard.finn)
    seen = [beats()]
    swaps.agree(swap, now=EARLY)
    seen.append(beats())
    swaps.confirm(Swap.objects.get(pk=swap.pk), by=yard.lead, now=EARLY)
    seen.append(beats())
    assert seen == sorted(set(seen))


def test_who_asks_to_be_forgotten_leaves_no_request(yard: Yard) -> None:
    """Neither their own nor one that was put to them."""
    ask(yard, yard.edda, yard.finn)
    forgetting.forget(yard.finn.attendee, now=EARLY)
    assert Swap.objects.count() == 0
