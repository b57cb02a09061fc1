"""The trough from above with the four at their places: numbers for a simple black drawing.

``templates/parts/lift_drawing.html`` only sets it, on a screen and on paper. The hog's head is to
the left, so its right side is at the top. Lengths are units of the drawing's own box.
"""

from __future__ import annotations

from dataclasses import dataclass

from scheduling.lifting import Hand, Lift
from workshops.quantities import WEIGHT

FORE_X, HIND_X = 105, 235
TOP_Y, BOTTOM_Y = 92, 208
MOST_LETTERS = 13  # a longer name would run into its neighbour


@dataclass(frozen=True, slots=True, kw_only=True)
class Spot:
    """One of the four: where the mark is, where the words stand, and what they say."""

    x: int
    y: int
    words_y: int
    place: str
    name: str
    load: str
    chain_y: int

    @property
    def sentence(self) -> str:
        """The same in words, for those who do not see it."""
        return f"{self.place}: {self.name or 'nobody yet'}, {self.load}"


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftDrawing:
    """One hog in the trough, its four, the caller, the count and the aid."""

    key: str
    title: str
    hog: str
    weight: str
    spots: tuple[Spot, ...]
    caller: str
    counts: tuple[str, ...]
    aids: str
    overrides: tuple[str, ...]


def draw(lift: Lift | None) -> LiftDrawing | None:
    """The drawing of a step's lift; None where nobody stands at chains."""
    if lift is None or not lift.hands:
        return None
    return LiftDrawing(
        key=f"lift-{lift.step.pk}",
        title=f"{lift.animal} at the {lift.step.station.name.lower()}, seen from above",
        hog=str(lift.animal),
        weight=WEIGHT.shown(lift.animal.live_kg, lift.units),
        spots=tuple(_spot(hand, lift.units) for hand in lift.hands),
        caller=lift.caller,
        counts=tuple(dict.fromkeys(move.count for move in lift.plan.moves)),
        aids=lift.aids,
        overrides=tuple(_override(lift)),
    )


def _spot(hand: Hand, units: str) -> Spot:
    top = not hand.place.is_left
    y = TOP_Y if top else BOTTOM_Y
    return Spot(
        x=FORE_X if hand.place.is_fore else HIND_X,
        y=y,
        words_y=y - 58 if top else y + 28,
        chain_y=y + 12 if top else y - 12,
        place=hand.place.value,
        name=_short(hand.name),
        load=WEIGHT.shown(hand.load_kg, units) if hand.load_kg else "made fast",
    )


def _short(name: str) -> str:
    # U+2026 is one letter wide and reads as "and so on".
    return name if len(name) <= MOST_LETTERS else f"{name[: MOST_LETTERS - 1]}…"


def _override(lift: Lift) -> list[str]:
    """Whose place is the lead's decision. Their own limit and the reason stay off the wall."""
    zone = lift.step.run_sheet.day.workshop.zone
    return [
        f"Lead's override: {made.enrolment.attendee.given_name} at {made.place} holds "
        f"{WEIGHT.shown(made.load_kg, lift.units)}, past their own figure; {made.made_by_name}, "
        f"{made.made_at.astimezone(zone):%d %b %H:%M}."
        for made in lift.overrides
    ]
