"""A list of people brought in from a file, read and judged before anything is written."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from workshops.models.courses import Workshop


class PeopleImport(models.Model):
    """One uploaded list. Its rows are wiped as soon as it is applied or dropped."""

    workshop = models.ForeignKey(Workshop, on_delete=models.CASCADE, related_name="imports")
    name = models.CharField(max_length=200)
    rows = models.JSONField(default=list)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    applied_at = models.DateTimeField(null=True, blank=True)
    written = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return self.name
