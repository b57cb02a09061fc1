"""The one next thing to do at the trough, the alarm, and the buckets, in words.

It advises and says what it rests on. Hair slipping decides, and the lead says when to pull.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from stations.estimating import seconds_in
from stations.models import EntryKind
from stations.scenes import Scene, clock
from stations.trade.scald import LONGEST_DIP_S
from stations.trade.scald_watch import Prompt, next_check, scald_advice
from stations.trade.trough_forecast import MOST_BUCKETS
from workshops.quantities import WEIGHT

SOON_S = 120.0
"""A bucket is named when the floor is this near: it has to be carried and poured (judgement)."""


class Tone(StrEnum):
    """How loud the next action is."""

    HOLD = "hold"
    ACT = "act"
    PULL = "pull"


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """The one next thing to do. ``cue`` changes when the phone should sound once."""

    sentence: str
    why: str
    tone: Tone
    cue: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm:
    """The water is outside the band."""

    way: str
    symbol: str
    sentence: str


def alarm(scene: Scene) -> Alarm | None:
    """Below the floor or above the ceiling, by the estimate; the screen's precision decides."""
    floor, ceiling = (scene.shown(c) for c in (scene.dip.floor_c, scene.dip.ceiling_c))
    shown = scene.shown(scene.water_c)
    if scene.water_c < scene.dip.floor_c:
        words = f"Below the floor: about {shown}, floor {floor}"
        return Alarm(way="below", symbol="▼", sentence=words)
    if scene.water_c > scene.dip.ceiling_c:
        words = f"Above the ceiling: about {shown}, ceiling {ceiling}"
        return Alarm(way="above", symbol="▲", sentence=words)
    return None


def next_action(scene: Scene) -> Action:
    """The most urgent prompt as one sentence; a roll or a test to come where nothing is due."""
    if end := scene.dip.ended_by:
        since = end.at.astimezone(scene.dip.workshop.zone)
        return Action(
            sentence=f"{EntryKind(end.kind).label.capitalize()} at {since:%H:%M:%S}.",
            why=f"{clock(seconds_in(scene.dip, end))} in the water.",
            tone=Tone.HOLD,
            cue="over",
        )
    if scene.dip.seconds_at(scene.now) > LONGEST_DIP_S:
        return Action(
            sentence="Over an hour in the water. Is the hog out? Press Out.",
            why="If it never went in, press “Started by mistake”.",
            tone=Tone.PULL,
            cue="forgotten",
        )
    so_far = scene.so_far
    advice = scald_advice(so_far, scene.band)
    top = advice[0] if advice else None
    can_wait = top is None or top.prompt in {Prompt.TEST_HAIR, Prompt.ROLL}
    if can_wait and (hot := _bucket_action(scene)):
        return hot
    if top is None:
        prompt, due_s = next_check(so_far, scene.band)
        what = {Prompt.ROLL: "roll"}.get(prompt, "test hair")
        sentence, why = f"Hold. Next: {what} at {clock(due_s)}.", "Keep reading the water."
        return Action(sentence=sentence, why=why, tone=Tone.HOLD, cue="hold")
    sentence = top.sentence()
    if top.prompt is Prompt.ADD_HOT:
        sentence = f"{_how_many(scene)}: {top.reason}."
    return Action(
        sentence=sentence,
        why=f"Rests on: {top.source}. The lead decides.",
        tone=Tone.PULL if top.prompt is Prompt.PULL else Tone.ACT,
        cue=f"{top.prompt.value}-{_times(scene, top.prompt)}",
    )


def _times(scene: Scene, prompt: Prompt) -> int:
    """How often this has been done: the phone sounds again at each further check."""
    kind = {Prompt.ROLL: EntryKind.ROLL, Prompt.TEST_HAIR: EntryKind.HAIR_TEST}.get(prompt)
    return len(scene.dip.of_kind(kind)) if kind else 0


def _how_many(scene: Scene) -> str:
    count = scene.guess.ahead.buckets_now if scene.guess else None
    if not count:
        return "Add hot water"
    return f"Add {count} hot bucket{'s' if count > 1 else ''}"


def _bucket_action(scene: Scene) -> Action | None:
    """Buckets before the floor is crossed, while there is time to carry them."""
    if scene.guess is None or scene.guess.ahead.crosses_s is None:
        return None
    left_s = scene.guess.ahead.crosses_s - scene.guess.now.now_s
    if left_s > SOON_S:
        return None
    floor = scene.shown(scene.dip.floor_c)
    return Action(
        sentence=f"{_how_many(scene)}: below {floor} in about {max(10, round(left_s, -1)):.0f} s.",
        why=f"Rests on: the forecast from this dip's readings. Floor: {scene.band.source}.",
        tone=Tone.ACT,
        cue="buckets",
    )


def bucket_words(scene: Scene) -> str:
    """What would hold the water over the floor for ten minutes, if the hog stayed in."""
    if scene.guess is None:
        return ""
    count, floor = scene.guess.ahead.buckets_now, scene.shown(scene.dip.floor_c)
    if count == 0:
        return f"No bucket needed to stay above {floor} for 10 min."
    if count is None:
        most = f"No number of buckets up to {MOST_BUCKETS} that fits"
        return f"{most} keeps it above {floor} for 10 min."
    each = WEIGHT.shown(scene.dip.station.trough.bucket_kg, scene.units)
    many = f"{count} hot bucket{'s' if count > 1 else ''} now ({each} each)"
    return f"{many} would keep it above {floor} for 10 min."
