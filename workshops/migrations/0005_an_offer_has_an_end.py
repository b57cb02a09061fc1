from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("workshops", "0004_fill_offer_ends"),
    ]

    operations = [
        migrations.AddConstraint(
            model_name='enrolment',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('status', 'offered'), _negated=True), ('offer_ends_at__isnull', False), _connector='OR'), name='an_offer_has_an_end', violation_error_message='An offer needs the moment at which it ends.'),
        ),
    ]
