"""The pages of this app: scald, equipment, dips, cloning."""

from __future__ import annotations

from django.urls import path

from stations.views import clone, dips, equipment, scald_plan

urlpatterns = [
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
]
