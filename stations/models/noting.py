"""What every row of the logs after the kill has in common: who, when, and what it corrects."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from django.conf import settings
from django.db import models

if TYPE_CHECKING:
    from typing import Self

N = TypeVar("N", bound="Noted")


class NotedQuerySet(models.QuerySet[N]):
    """Questions about many rows of one log; each log names its own."""

    def standing(self) -> Self:
        """What counts: not corrected since, and not itself a mistake taken back."""
        return self.filter(corrected_by__isnull=True, is_void=False)

    def with_writers(self) -> Self:
        """With who wrote each, and whether it was corrected since."""
        return self.select_related("by_user", "corrected_by")


class Noted(models.Model):
    """One entry of a log. ``at`` is when it happened, ``received_at`` when it came.

    Nothing is edited or deleted. A correction is a new row that points at the old; one that is
    ``is_void`` says only that the old was a mistake. One row is corrected once: a second
    correction points at the first.
    """

    client_id = models.UUIDField(unique=True)
    at = models.DateTimeField()
    received_at = models.DateTimeField()
    corrects = models.OneToOneField(
        "self", on_delete=models.CASCADE, null=True, blank=True, related_name="corrected_by"
    )
    is_void = models.BooleanField("was a mistake", default=False)
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        abstract = True

    @property
    def writer(self) -> str:
        """Who wrote it, as said in the yard."""
        if self.by_user is None:
            return ""
        return self.by_user.get_full_name() or str(self.by_user)

    @property
    def stands(self) -> bool:
        """Whether it counts; no query where ``corrected_by`` was joined or looked up before."""
        return not self.is_void and not hasattr(self, "corrected_by")
