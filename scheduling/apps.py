"""The app's start: what it holds of a person is wiped with the rest when they ask for it."""

from __future__ import annotations

from django.apps import AppConfig


class SchedulingConfig(AppConfig):
    """Time and hands."""

    name = "scheduling"

    def ready(self) -> None:
        """Hand this chapter's own wipes to the lower one, which must not know this one."""
        from scheduling import logbook, swap_log
        from workshops import forgetting

        for wipe in (logbook.forget_details_of, swap_log.forget):
            if wipe not in forgetting.WIPED_ABOVE:
                forgetting.WIPED_ABOVE.append(wipe)
