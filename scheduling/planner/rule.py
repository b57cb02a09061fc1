"""Every hard rule of the rotation by name, each with its sentence and its switch."""

from __future__ import annotations

from enum import StrEnum


class Rule(StrEnum):
    """A hard rule of the rotation: never broken in a plan that is offered for posting."""

    HANDS_NEEDED = "hands_needed"
    NAMED_PLACES = "named_places"
    FILLED_BY = "filled_by"
    PRESENCE = "presence"
    ADULTS = "adults"
    LIMITS = "limits"
    KNIFE_FLOOR = "knife_floor"
    LIFT_FLOOR = "lift_floor"
    LIFT_AT_PLACE = "lift_at_place"
    ONE_PLACE_AT_A_TIME = "one_place_at_a_time"
    REST_AFTER_HEAVY = "rest_after_heavy"
    HEAVY_IN_A_ROW = "heavy_in_a_row"
    WALKING = "walking"
    TIME_CAP = "time_cap"
    MEAL_BREAK = "meal_break"
    MENTOR = "mentor"
    SUPERVISED = "supervised"
    HOUSEHOLD = "household"
    LOCKS = "locks"
    PAST = "past"

    @property
    def sentence(self) -> str:
        """The rule as one sentence.

        >>> Rule.ADULTS.sentence
        'Nobody under 18 takes a duty that is kept for adults.'
        """
        return _SENTENCES[self]

    @property
    def may_be_switched_off(self) -> bool:
        """Whether the lead may do without it: comfort may wait, what keeps from harm may not."""
        return self in {Rule.HEAVY_IN_A_ROW, Rule.WALKING, Rule.MEAL_BREAK, Rule.HOUSEHOLD}


_SENTENCES = {
    Rule.HANDS_NEEDED: "Each duty of a step has at least its least hands and at most its most.",
    Rule.NAMED_PLACES: "Where places are named, each place has exactly one person.",
    Rule.FILLED_BY: "A duty is taken by those it is meant for: attendees, staff, or the lead.",
    Rule.PRESENCE: "Nobody is placed on a step unless they are here for all of it.",
    Rule.ADULTS: "Nobody under 18 takes a duty that is kept for adults.",
    Rule.LIMITS: "Nobody takes a duty that one of their limits rules out.",
    Rule.KNIFE_FLOOR: "A duty with a knife is taken by people with enough knife experience.",
    Rule.LIFT_FLOOR: "A lifting duty is taken by people whose comfortable lift is enough.",
    Rule.LIFT_AT_PLACE: "Nobody takes a place whose load is above their comfortable lift.",
    Rule.ONE_PLACE_AT_A_TIME: "Nobody is in two places at a time.",
    Rule.REST_AFTER_HEAVY: "Nobody holds two heavy duties without the rest time between them.",
    Rule.HEAVY_IN_A_ROW: "Nobody has two heavy duties in a row in a day.",
    Rule.WALKING: "Nobody is due at another station before they can have walked there.",
    Rule.TIME_CAP: "Nobody is longer in a day at hot or wet work than its cap allows.",
    Rule.MEAL_BREAK: "Everyone has time free to eat in each meal's window.",
    Rule.MENTOR: "A first-timer with a knife stands beside an experienced hand or a helper.",
    Rule.SUPERVISED: "A helper or the lead is at every station that needs one.",
    Rule.HOUSEHOLD: "A household that asked to be together or apart is placed so.",
    Rule.PAST: "What was done stays as it was posted.",
    Rule.LOCKS: "What the lead has locked stays as it is.",
}
