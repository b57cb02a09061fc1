from datetime import timedelta

from django.db import migrations
from django.utils import timezone


def fill(apps, schema_editor) -> None:  # type: ignore[no-untyped-def]  # the migration's own models
    """An offer made by hand before offers had an end: it ends as a new one would."""
    Enrolment = apps.get_model("workshops", "Enrolment")
    for seat in Enrolment.objects.filter(status="offered", offer_ends_at__isnull=True).select_related("workshop"):
        ends = timezone.now() + timedelta(hours=seat.workshop.offer_hours)
        Enrolment.objects.filter(pk=seat.pk).update(offer_ends_at=ends)
    Enrolment.objects.filter(status="waiting", waiting_since__isnull=True).update(waiting_since=timezone.now())


class Migration(migrations.Migration):

    dependencies = [
        ("workshops", "0003_sign_up_answers_offers_and_letters"),
    ]

    operations = [migrations.RunPython(fill, migrations.RunPython.noop)]
