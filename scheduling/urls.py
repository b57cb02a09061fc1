"""The pages of this app: the day on screen and on paper."""

from __future__ import annotations

from django.urls import path

from scheduling.models import Mark
from scheduling.views import (
    asked,
    backups,
    board,
    card,
    card_steps,
    everything,
    history,
    jobs,
    kitchen,
    labels,
    live,
    log,
    morning,
    overriding,
    print_room,
    record,
    run_sheet,
    scald_times,
    shares,
    swapping,
    timing,
    trough,
)
from scheduling.views.trough import TroughPage

# Each page and act of the live trough, by either door: a sign-in, or a placed person's card.
TROUGH: tuple[tuple[str, str, TroughPage[...]], ...] = (
    ("", "trough", trough.trough),
    ("start/", "trough-start", trough.start),
    ("check/", "trough-check", trough.check),
    ("<int:dip_id>/now/", "trough-now", trough.now),
    ("<int:dip_id>/read/", "trough-read", trough.read),
    ("<int:dip_id>/pour-hot/", "trough-pour-hot", trough.pour_hot),
    ("<int:dip_id>/pour-cold/", "trough-pour-cold", trough.pour_cold),
    ("<int:dip_id>/roll/", "trough-roll", trough.roll),
    ("<int:dip_id>/hair/", "trough-hair", trough.hair),
    ("<int:dip_id>/out/", "trough-out", trough.out),
    ("<int:dip_id>/mistake/", "trough-mistake", trough.mistake),
    ("<int:dip_id>/undo/<int:entry_id>/", "trough-undo", trough.undo),
    ("seen/", "trough-seen", trough.seen),
)
DIVISION = "w/<slug:slug>/shares/<int:division_id>/"
DAY = "w/<slug:slug>/day/<int:number>/"
ASKED = f"{DAY}asked/"
CARD_PLACE = "card/<str:word>/place/<int:placement_id>/"

urlpatterns = [
    path(f"{DAY}run-sheet/", run_sheet.run_sheet, name="run-sheet"),
    path(f"{DAY}run-sheet/replan/", timing.replan, name="replan-day"),
    path(f"{DAY}run-sheet/as-planned/", timing.as_planned, name="mark-as-planned"),
    path(f"{DAY}step/<str:code>/move/", timing.move, name="move-step"),
    path(f"{DAY}step/<str:code>/pin/", timing.pin, name="pin-step"),
    path(f"{DAY}step/<str:code>/unpin/", timing.unpin, name="unpin-step"),
    path(f"{DAY}step/<str:code>/plan/", timing.plan_from, name="plan-from-step"),
    path(f"{DAY}step/<str:code>/started/", timing.started, name="step-started"),
    path(f"{DAY}step/<str:code>/finished/", timing.finished, name="step-finished"),
    path(f"{DAY}step/<str:code>/back/", timing.take_back, name="step-back"),
    path(f"{DAY}post/", run_sheet.post_day, name="post-day"),
    path("w/<slug:slug>/plan/", run_sheet.plan_course, name="plan-course"),
    path(f"{DAY}morning/", morning.morning, name="morning"),
    path(f"{DAY}morning/attendance/", morning.keep_attendance, name="keep-attendance"),
    path(f"{DAY}morning/place/", morning.place_crews, name="place-crews"),
    path(f"{DAY}morning/draft/", morning.start_draft, name="start-draft"),
    path(f"{DAY}morning/<int:placement_id>/lock/", morning.lock, name="lock-placement"),
    path(f"{DAY}morning/<int:placement_id>/unlock/", morning.unlock, name="unlock-placement"),
    path(f"{DAY}morning/<int:placement_id>/choose/", morning.choose, name="choose-placement"),
    path(f"{DAY}morning/<int:placement_id>/give/", morning.give, name="give-placement"),
    path(f"{DAY}morning/told/<int:enrolment_id>/", history.told, name="told"),
    path(f"{DAY}history/", history.history, name="history"),
    path(f"{DAY}history/<int:version>/again/", history.post_again, name="post-again"),
    path(
        f"{DAY}morning/<int:placement_id>/override/<int:seat_id>/",
        overriding.override,
        name="override-placement",
    ),
    path("w/<slug:slug>/board/", board.board, name="board"),
    path("w/<slug:slug>/print/", print_room.print_room, name="print-room"),
    path(f"{DAY}print/", print_room.print_day, name="print-day"),
    path(f"{DAY}print/sheets/", print_room.sheets, name="print-sheets"),
    path("w/<slug:slug>/scald/<str:letter>/times/", scald_times.scald_times, name="scald-times"),
    path("w/<slug:slug>/trough/", trough.troughs, name="troughs"),
    *(
        path(f"w/<slug:slug>/trough/<str:letter>/{tail}", trough.by_staff(page), name=name)
        for tail, name, page in TROUGH
    ),
    *(
        path(
            f"card/<str:word>/trough/<str:letter>/{tail}", trough.by_card(page), name=f"card-{name}"
        )
        for tail, name, page in TROUGH
    ),
    path("printed/<uuid:job_id>.pdf", print_room.printed, name="printed"),
    path("jobs/<uuid:job_id>/", jobs.job, name="job"),
    path("card/<str:word>/", card.card, name="card"),
    path("card/<str:word>/heard/", card.heard, name="card-heard"),
    path("card/<str:word>/board/", card.card_board, name="card-board"),
    # The kitchen: who eats, menu, batches, what to buy.
    path("w/<slug:slug>/kitchen/", kitchen.kitchen, name="kitchen"),
    path("w/<slug:slug>/kitchen/add/", kitchen.add, name="kitchen-add"),
    path("w/<slug:slug>/kitchen/menu/", kitchen.draft_menu, name="kitchen-menu"),
    path("w/<slug:slug>/kitchen/<int:batch_id>/", kitchen.batch, name="kitchen-batch"),
    path("w/<slug:slug>/kitchen/<int:batch_id>/remove/", kitchen.remove, name="kitchen-remove"),
    path("w/<slug:slug>/kitchen/<int:batch_id>/off/", kitchen.take_off, name="kitchen-off"),
    path("w/<slug:slug>/pantry/", kitchen.pantry, name="pantry"),
    # Shares: wishes, divisions, who has taken what.
    path("w/<slug:slug>/shares/", shares.shares, name="shares"),
    path("w/<slug:slug>/shares/wishes/", shares.wishes, name="kind-wishes"),
    path("w/<slug:slug>/shares/hog/<int:animal_id>/divide/", shares.divide, name="divide-hog"),
    path(f"{DIVISION}post/", shares.post, name="division-post"),
    path(f"{DIVISION}<slug:key>/hand-over/", shares.hand_over, name="hand-over"),
    path(f"{DIVISION}<slug:key>/hand-back/", shares.hand_back, name="hand-back"),
    path("card/<str:word>/share/", shares.card_share, name="card-share"),
    # The live day: the stream and its twin, pauses, the duty log, alarms.
    path("w/<slug:slug>/events/", live.stream, name="events"),
    path("w/<slug:slug>/events/now/", live.look, name="events-now"),
    path("card/<str:word>/events/", live.card_stream, name="card-events"),
    path("card/<str:word>/events/now/", live.card_look, name="card-events-now"),
    path("w/<slug:slug>/alarm/seen/", live.acknowledge, name="alarm-seen"),
    path(f"{DAY}step/<str:code>/paused/", timing.paused, name="step-paused"),
    path(f"{DAY}step/<str:code>/resumed/", timing.resumed, name="step-resumed"),
    *(
        path(
            f"card/<str:word>/step/<str:code>/{one.value}/",
            card_steps.mark,
            {"mark": one},
            name=f"card-step-{one.value}",
        )
        for one in Mark
    ),
    path(f"{DAY}log/", log.day_log, name="day-log"),
    path(f"{DAY}log/add/", log.add, name="log-add"),
    path(f"{DAY}log.csv", log.day_csv, name="day-log-csv"),
    path("w/<slug:slug>/log.csv", log.course_csv, name="course-log-csv"),
    path("w/<slug:slug>/log/<int:entry_id>/correct/", log.correct, name="log-correct"),
    path("w/<slug:slug>/hogs/<int:hog_id>/log/", log.hog_log, name="hog-log"),
    path("w/<slug:slug>/people/<int:enrolment_id>/log/", log.person_log, name="person-log"),
    path("w/<slug:slug>/everything.xlsx", everything.everything, name="everything"),
    path("w/<slug:slug>/packing/<int:animal_id>/labels.pdf", labels.labels, name="package-labels"),
    # Backups of everything there is.
    path("backups/", backups.backups, name="backups"),
    path("backups/now/", backups.back_up, name="back-up"),
    path("backups/<str:name>", backups.backup, name="backup"),
    # The record: of a course, a hog, a person; what next year plans with; the archive.
    path("w/<slug:slug>/record/", record.record, name="record"),
    path("w/<slug:slug>/record/hog/<int:animal_id>/", record.hog, name="record-hog"),
    path("w/<slug:slug>/record/person/<int:enrolment_id>/", record.person, name="record-person"),
    path(
        "w/<slug:slug>/record/person/<int:enrolment_id>/certificate/",
        record.certificate,
        name="certificate",
    ),
    path("w/<slug:slug>/record/ranges/", record.keep_ranges, name="keep-ranges"),
    path("w/<slug:slug>/record/ranges/drop/", record.drop_ranges, name="drop-ranges"),
    path("w/<slug:slug>/record/archive/", record.make_archive, name="make-archive"),
    path("archives/<uuid:job_id>.zip", record.archive, name="archive"),
    path("card/<str:word>/record/", record.card_record, name="card-record"),
    path("card/<str:word>/certificate/", record.card_certificate, name="card-certificate"),
    # What is asked of a day, read at the next planning.
    path(f"{ASKED}", asked.asked, name="day-asked"),
    path(f"{ASKED}break/add/", asked.add_break, name="break-add"),
    path(f"{ASKED}break/<int:break_id>/", asked.change_break, name="break-change"),
    path(f"{ASKED}break/<int:break_id>/remove/", asked.remove_break, name="break-remove"),
    path(f"{ASKED}away/add/", asked.add_absence, name="absence-add"),
    path(f"{ASKED}away/<int:absence_id>/remove/", asked.remove_absence, name="absence-remove"),
    path(f"{ASKED}hours/add/", asked.add_hours, name="hours-add"),
    path(f"{ASKED}hours/<int:hours_id>/remove/", asked.remove_hours, name="hours-remove"),
    # Swaps and rests: asked for on the card, confirmed by the lead.
    path(f"{CARD_PLACE}change/", swapping.choose, name="card-change"),
    path(f"{CARD_PLACE}ask/", swapping.ask, name="card-swap-ask"),
    path(f"{CARD_PLACE}rest/", swapping.rest, name="card-rest"),
    path("card/<str:word>/swap/<int:swap_id>/yes/", swapping.agree, name="card-swap-yes"),
    path("card/<str:word>/swap/<int:swap_id>/no/", swapping.decline, name="card-swap-no"),
    path("card/<str:word>/swap/<int:swap_id>/back/", swapping.take_back, name="card-swap-back"),
    path(f"{DAY}swap/<int:swap_id>/confirm/", swapping.confirm, name="swap-confirm"),
    path(f"{DAY}swap/<int:swap_id>/refuse/", swapping.refuse, name="swap-refuse"),
]
