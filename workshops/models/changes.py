"""Who changed which answers of a seat, and when. What they were is not kept: some are of health."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from workshops.models.enrolment import Enrolment


class AnswerChange(models.Model):
    """One save of one person's answers, kept for good.

    Whoever saved is staff, or somebody of the household by their private link.
    """

    enrolment = models.ForeignKey(
        Enrolment, on_delete=models.CASCADE, related_name="answer_changes"
    )
    what = models.JSONField(default=list, help_text="The names of the answers that changed.")
    at = models.DateTimeField()
    by_user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True
    )
    by_seat = models.ForeignKey(
        Enrolment,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="answer_changes_made",
    )

    class Meta:
        ordering = ["-at", "-pk"]

    def __str__(self) -> str:
        return f"{', '.join(self.what)} on {self.at:%Y-%m-%d %H:%M}, {self.who}"

    @property
    def who(self) -> str:
        """By whom; someone whose data was deleted has no name."""
        if self.by_user:
            return f"by {self.by_user.get_full_name() or self.by_user}"
        if self.by_seat:
            return f"by {self.by_seat}, on the household's own page"
        return "by somebody"
