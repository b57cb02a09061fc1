"""The app's start: what it holds of a person is wiped with the rest when they ask for it."""

from __future__ import annotations

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """Time and hands."""

    name = "scheduling"

    def ready(self) -> None:
        """Hand the log's own wipe to the lower chapter, which must not know this one."""
        from scheduling import logbook
        from workshops import forgetting

        if logbook.forget_details_of not in forgetting.WIPED_ABOVE:
            forgetting.WIPED_ABOVE.append(logbook.forget_details_of)
