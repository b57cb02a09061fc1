"""What changed between two versions of a day, as sentences for the yard."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass

from scheduling.drawing import LiftDrawing, draw
from scheduling.lifting import NO_LIFTS, Lift, Lifts
from scheduling.models import Placement, RunSheet, Step


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change: the sentence, and whom to tell (``Placement.person_key``)."""

    sentence: str
    people: tuple[str, ...] = ()
    step: str = ""


def _clock(step: Step) -> str:
    zone = step.run_sheet.day.workshop.zone
    return f"{step.starts_at.astimezone(zone):%H:%M}"


def _seats(sheet: RunSheet) -> dict[tuple[str, str], dict[str, str]]:
    """Who holds each (step, duty and place), name by key; unnamed places are one set of hands."""
    seats: dict[tuple[str, str], dict[str, str]] = defaultdict(dict)
    for step in sheet.steps.all():
        for row in step.placements.all():
            seats[step.code, row.title][row.person_key] = row.person_name
    return seats


def _crew(step: Step) -> tuple[str, ...]:
    return tuple(sorted(row.person_key for row in step.placements.all()))


def _times(old: dict[str, Step], new: dict[str, Step]) -> list[Change]:
    changes = []
    for code, step in new.items():
        if code not in old:
            said, crew = f"{step} is new, at {_clock(step)}.", _crew(step)
        elif old[code].starts_at != step.starts_at:
            said = f"{step} moves from {_clock(old[code])} to {_clock(step)}."
            # Only those who keep their place: who comes or goes is told by their own sentence.
            crew = tuple(sorted(set(_crew(step)) & set(_crew(old[code]))))
        else:
            continue
        changes.append(Change(sentence=said, people=crew, step=code))
    gone = [step for code, step in old.items() if code not in new]
    return changes + [Change(sentence=f"{step} is dropped.", people=_crew(step)) for step in gone]


# Someone who takes part in a change: (name, key), so that they sort by name.
Person = tuple[str, str]


def _hands(step: Step, title: str, lost: list[Person], gained: list[Person]) -> list[Change]:
    what = f"{title[:1].lower()}{title[1:]} at {step} ({_clock(step)})"
    found = [
        Change(
            sentence=f"{new[0]} takes {what} from {old[0]}.",
            people=(new[1], old[1]),
            step=step.code,
        )
        for new, old in zip(gained, lost, strict=False)
    ]
    for name, key in gained[len(lost) :]:
        found.append(Change(sentence=f"{name} joins {what}.", people=(key,), step=step.code))
    for name, key in lost[len(gained) :]:
        found.append(Change(sentence=f"{name} leaves {what}.", people=(key,), step=step.code))
    return found


def _only(mine: dict[str, str], other: dict[str, str]) -> list[Person]:
    """Those of ``mine`` who are not in ``other``, by name."""
    return sorted((name, key) for key, name in mine.items() if key not in other)


def changes(old: RunSheet | None, new: RunSheet) -> list[Change]:
    """Every change from the old version to the new; both with their steps loaded.

    With no old version there is nothing that anyone was told, so nothing has changed.
    """
    if old is None:
        return []
    before = {step.code: step for step in old.steps.all()}
    after = {step.code: step for step in new.steps.all()}
    for sheet, steps in ((old, before), (new, after)):
        for step in steps.values():
            step.run_sheet = sheet
    found = _times(before, after)
    held, holds = _seats(old), _seats(new)
    for code, title in sorted(set(held) | set(holds)):
        if code in after:
            was, now = held[code, title], holds[code, title]
            found += _hands(after[code], title, _only(was, now), _only(now, was))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedPlacement:
    """A placement as the morning shows it: new against what is posted, or not."""

    row: Placement
    is_new: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedStep:
    """A step with its crew, marked against what is posted."""

    step: Step
    crew: tuple[MarkedPlacement, ...]
    short: tuple[str, ...]
    lift: Lift | None = None
    lift_unknown: bool = False

    @property
    def drawing(self) -> LiftDrawing | None:
        """The four at their places, where there are chains."""
        return draw(self.lift)


def marked_steps(
    old: RunSheet | None, new: RunSheet | None, lifts: Lifts = NO_LIFTS
) -> list[MarkedStep]:
    """The steps of ``new`` that need hands, each placement marked if it is not in ``old``.

    ``lifts`` are those of ``new``; a step then carries its own.
    """
    if new is None:
        return []
    held = _seats(old) if old else {}
    return [
        MarkedStep(
            step=step,
            crew=tuple(
                MarkedPlacement(
                    row=row,
                    is_new=bool(old) and row.person_key not in held.get((step.code, row.title), {}),
                )
                for row in step.placements.all()
            ),
            short=_short(step),
            lift=lifts.of(step),
            lift_unknown=step.pk in lifts.not_set_up,
        )
        for step in new.steps.all()
        if step.stage.duties.all()
    ]


def _short(step: Step) -> tuple[str, ...]:
    """Which duties of a step still lack hands, in words."""
    counts = Counter(row.duty_id for row in step.placements.all())
    return tuple(
        f"{duty.name}: {counts[duty.pk]} of {duty.hands_least}"
        for duty in step.stage.duties.all()
        if counts[duty.pk] < duty.hands_least
    )
