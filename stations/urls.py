"""The pages of this app: home, scald, equipment, dips, cloning."""

from __future__ import annotations

from django.urls import path

from stations.views import (
    after,
    chill,
    clone,
    cures,
    dips,
    equipment,
    food,
    home,
    method,
    packing,
    scald_plan,
    weights,
)

CHILL = "w/<slug:slug>/chill/<int:animal_id>/"
WAY = "w/<slug:slug>/way/"
CUT = "w/<slug:slug>/break-down/<int:animal_id>/"
CURE = "w/<slug:slug>/cures/<int:batch_id>/"
FOOD = "w/<slug:slug>/cooking/<int:log_id>/"
PACKAGE = "w/<slug:slug>/packing/package/<int:package_id>/"

urlpatterns = [
    path("", home.home, name="home"),
    path("w/<slug:slug>/", home.workshop, name="workshop"),
    path("w/<slug:slug>/scald/", scald_plan.scald, name="scald"),
    path("w/<slug:slug>/scald/<str:letter>/", scald_plan.plan, name="scald-plan"),
    path("w/<slug:slug>/scald/<str:letter>/keep/", scald_plan.keep, name="scald-keep"),
    path("card/<str:word>/at-home/", scald_plan.at_home, name="scald-at-home"),
    path("w/<slug:slug>/equipment/", equipment.equipment, name="equipment"),
    path("w/<slug:slug>/equipment/counts/", equipment.keep_counts, name="keep-counts"),
    path("w/<slug:slug>/equipment/rest/", equipment.keep_rest, name="keep-rest"),
    path("w/<slug:slug>/equipment/<int:station_id>/", equipment.handling, name="handling"),
    path("w/<slug:slug>/hogs/<int:animal_id>/dips/", dips.hog_dips, name="hog-dips"),
    path("w/<slug:slug>/hogs/<int:animal_id>/dips.csv", dips.hog_dips_csv, name="hog-dips-csv"),
    path("w/<slug:slug>/clone/", clone.clone, name="clone"),
    # After the kill: chill, break-down, cures, cooking and cooling.
    path("w/<slug:slug>/after/", after.after, name="after"),
    path("w/<slug:slug>/after/now/", after.after_now, name="after-now"),
    path("w/<slug:slug>/hogs/<int:animal_id>/after/", after.hog_after, name="hog-after"),
    path("w/<slug:slug>/chill/", chill.chill, name="chill"),
    path("w/<slug:slug>/chill/night/", chill.night, name="chill-night"),
    path(f"{CHILL}", chill.chill_hog, name="chill-hog"),
    path(f"{CHILL}hang/", chill.hang, name="chill-hang"),
    path(f"{CHILL}read/", chill.read, name="chill-read"),
    path(f"{CHILL}<int:reading_id>/correct/", chill.correct, name="chill-correct"),
    path(f"{CHILL}<int:reading_id>/take-back/", chill.take_back, name="chill-take-back"),
    path("w/<slug:slug>/break-down/", weights.break_downs, name="break-down"),
    path(f"{CUT}", weights.break_down_hog, name="break-down-hog"),
    path(f"{CUT}plan/", weights.plan_cuts, name="cut-plan"),
    path(f"{CUT}carcass/", weights.weigh_carcass, name="weigh-carcass"),
    path(f"{CUT}cut/", weights.weigh_cut, name="weigh-cut"),
    path(f"{CUT}aside/", weights.weigh_aside, name="weigh-aside"),
    path(f"{CUT}<int:weigh_in_id>/correct/", weights.correct, name="weigh-correct"),
    path(f"{CUT}<int:weigh_in_id>/take-back/", weights.take_back, name="weigh-take-back"),
    path("w/<slug:slug>/cures/", cures.cures, name="cures"),
    path("w/<slug:slug>/cures/new/", cures.cure_new, name="cure-new"),
    path("w/<slug:slug>/cures/keep/", cures.cure_keep, name="cure-keep"),
    path(f"{CURE}", cures.cure, name="cure"),
    path(f"{CURE}note/", cures.cure_note, name="cure-note"),
    path(f"{CURE}<int:entry_id>/take-back/", cures.cure_take_back, name="cure-take-back"),
    path("w/<slug:slug>/cooking/", food.food_logs, name="food-logs"),
    path("w/<slug:slug>/cooking/open/", food.food_open, name="food-open"),
    path(f"{FOOD}", food.food_log, name="food-log"),
    path(f"{FOOD}read/", food.food_read, name="food-read"),
    path(f"{FOOD}done/", food.food_done, name="food-done"),
    path(f"{FOOD}sour/", food.food_sour, name="food-sour"),
    path(f"{FOOD}mistake/", food.food_mistake, name="food-mistake"),
    path(f"{FOOD}<int:entry_id>/correct/", food.food_correct, name="food-correct"),
    path(f"{FOOD}<int:entry_id>/take-back/", food.food_take_back, name="food-take-back"),
    # Packages: weighed, numbered, missing or found.
    path("w/<slug:slug>/packing/", packing.hogs_packed, name="packing"),
    path("w/<slug:slug>/packing/<int:animal_id>/", packing.hog, name="packing-hog"),
    path(f"{PACKAGE}missing/", packing.missing, name="package-missing"),
    path(f"{PACKAGE}found/", packing.found, name="package-found"),
    path(f"{PACKAGE}mistake/", packing.mistake, name="package-mistake"),
    # The way of a hog: minutes, waits, kit that is held, stations.
    path(f"{WAY}", method.method, name="method"),
    path(f"{WAY}stage/<int:stage_id>/", method.stage, name="stage-change"),
    path(f"{WAY}wait/add/", method.add_gap, name="gap-add"),
    path(f"{WAY}wait/<int:gap_id>/", method.gap, name="gap-change"),
    path(f"{WAY}wait/<int:gap_id>/remove/", method.remove_gap, name="gap-remove"),
    path(f"{WAY}kit/add/", method.add_hold, name="kit-hold-add"),
    path(f"{WAY}kit/<int:hold_id>/remove/", method.remove_hold, name="kit-hold-remove"),
    path(f"{WAY}station/<int:station_id>/", method.station, name="station-change"),
    path(f"{WAY}station/<int:station_id>/twin/", method.twin, name="station-twin"),
]
