"""The three groups of the staff and what each may do; made by ``manage.py roles``."""

from __future__ import annotations

from django.contrib.auth.models import Group, Permission
from django.db import models, transaction


class Role(models.TextChoices):
    """A group of the staff."""

    ORGANIZER = "organizer", "Organizer"
    LEAD = "lead", "Lead"
    HELPER = "helper", "Helper"


ALL_APPS = ("workshops", "stations", "scheduling")
NOT_FOR_LEADS = {
    "see_money",
    "view_ledgerentry",
    "add_ledgerentry",
    "change_ledgerentry",
    "delete_ledgerentry",
    "view_cost",
    "add_cost",
    "change_cost",
    "delete_cost",
    "add_workshop",
    "delete_workshop",
    "add_user",
    "change_user",
    "delete_user",
}
FOR_HELPERS = {
    "view_workshop",
    "view_day",
    "view_enrolment",
    "view_attendee",
    "view_animal",
    "view_station",
    "view_duty",
    "view_stage",
    "view_runsheet",
    "view_step",
    "view_placement",
    "view_equipment",
    "view_actual",
    "add_actual",
    "view_alarm",
    "change_alarm",
    "view_logentry",
    "add_logentry",
    "view_dip",
    "add_dipentry",
    "view_thermometer",
    "add_thermometercheck",
    # Logs after the kill: helpers read and write them; the lead plans.
    "view_chillplan",
    "view_chillreading",
    "add_chillreading",
    "view_weighin",
    "add_weighin",
    "view_cutplan",
    "view_curebatch",
    "add_cureentry",
    "view_foodlog",
    "add_foodlog",
    "add_foodentry",
    "view_kitchenbatch",
    "view_package",
    "add_package",
}


@transaction.atomic
def ensure_roles() -> dict[Role, Group]:
    """Make the groups and set their permissions; run again after each migration."""
    every = Permission.objects.filter(content_type__app_label__in=ALL_APPS)
    allowed = {
        Role.ORGANIZER: every,
        Role.LEAD: every.exclude(codename__in=NOT_FOR_LEADS),
        Role.HELPER: every.filter(codename__in=FOR_HELPERS),
    }
    groups: dict[Role, Group] = {}
    for role, permissions in allowed.items():
        groups[role], _ = Group.objects.get_or_create(name=role.label)
        groups[role].permissions.set(permissions)
    return groups
