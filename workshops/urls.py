"""The pages of this app: the door, the first pages, people, hogs."""

from __future__ import annotations

from django.urls import path

from workshops.views import (
    course,
    exchange,
    hogs,
    money,
    owners,
    people,
    seat,
    sign_in,
    sign_up,
)

JOIN = "join/<slug:slug>/"
SEAT = "seat/<str:word>/"
PERSON = "w/<slug:slug>/people/<int:enrolment_id>/"

urlpatterns = [
    path("sign-in/", sign_in.sign_in, name="sign-in"),
    path("sign-out/", sign_in.sign_out, name="sign-out"),
    path(JOIN, sign_up.sign_up, name="sign-up"),
    path(f"{JOIN}more/", sign_up.more, name="sign-up-more"),
    path(f"{JOIN}fewer/", sign_up.fewer, name="sign-up-fewer"),
    path(f"{JOIN}keep/", sign_up.keep, name="sign-up-keep"),
    path(SEAT, seat.seat, name="seat"),
    path(f"{SEAT}take/", seat.take, name="seat-take"),
    path(f"{SEAT}withdraw/", seat.withdraw, name="seat-withdraw"),
    path(f"{SEAT}ask-again/", seat.ask_again, name="seat-ask-again"),
    path(f"{SEAT}waiver/<int:enrolment_id>/", seat.accept_waiver, name="seat-accept-waiver"),
    path(f"{SEAT}answers/<int:enrolment_id>/", seat.answers, name="seat-answers"),
    path("w/<slug:slug>/people/", people.people, name="people"),
    path("w/<slug:slug>/people/add/", people.add, name="person-add"),
    path(PERSON, people.person, name="person"),
    path(f"{PERSON}link/renew/", people.renew_link, name="person-link-renew"),
    path(f"{PERSON}link/revoke/", people.revoke_link, name="person-link-revoke"),
    path("w/<slug:slug>/people/bring-in/", exchange.bring_in, name="bring-in"),
    path("w/<slug:slug>/people/bring-in/<int:import_id>/", exchange.rows, name="bring-in-rows"),
    path(
        "w/<slug:slug>/people/bring-in/<int:import_id>/apply/",
        exchange.apply,
        name="bring-in-apply",
    ),
    path(
        "w/<slug:slug>/people/bring-in/<int:import_id>/drop/", exchange.drop, name="bring-in-drop"
    ),
    path("w/<slug:slug>/people.csv", exchange.people_csv, name="people-csv"),
    path(f"{PERSON}forget/", exchange.forget_person, name="person-forget"),
    path(f"{PERSON}link/send/", people.send_link, name="person-link-send"),
    path("calendar/<str:word>/course.ics", exchange.card_calendar, name="seat-calendar"),
    path("calendar/staff/<str:word>/course.ics", exchange.staff_calendar, name="staff-calendar"),
    path("w/<slug:slug>/calendar/renew/", exchange.renew_feed, name="feed-renew"),
    path("w/<slug:slug>/course/", course.course, name="course"),
    path("w/<slug:slug>/menu/", course.menu, name="menu"),
    path("w/<slug:slug>/menu/<int:meal_id>/remove/", course.remove_meal, name="meal-remove"),
    path("w/<slug:slug>/money/", money.money, name="money"),
    path("w/<slug:slug>/money/<int:household_id>/", money.account, name="account"),
    path("w/<slug:slug>/money/reverse/<int:entry_id>/", money.reverse_entry, name="entry-reverse"),
    path("w/<slug:slug>/costs/add/", money.cost, name="cost-add"),
    path("w/<slug:slug>/costs/<int:cost_id>/", money.cost, name="cost"),
    path("w/<slug:slug>/costs/<int:cost_id>/remove/", money.remove_cost, name="cost-remove"),
    path("w/<slug:slug>/hogs/", hogs.hogs, name="hogs"),
    path("w/<slug:slug>/owners/", owners.owners, name="owners"),
    path("w/<slug:slug>/owners/take-back/", owners.take_back_check, name="owners-take-back"),
    path("w/<slug:slug>/hogs/<int:animal_id>/treatments/", owners.treatments, name="treatments"),
    path(
        "w/<slug:slug>/treatments/<int:treatment_id>/remove/",
        owners.remove_treatment,
        name="treatment-remove",
    ),
    path("w/<slug:slug>/hogs/add/", hogs.add, name="hog-add"),
    path("w/<slug:slug>/hogs/<int:animal_id>/", hogs.hog, name="hog"),
]
