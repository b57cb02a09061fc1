"""Every model of the app, by subject."""

from workshops.models.animals import (
    Animal,
    AnimalStatus,
    Basis,
    Coat,
    LocalCheck,
    Ownership,
    Treatment,
)
from workshops.models.attempts import Attempt
from workshops.models.changes import AnswerChange
from workshops.models.courses import Break, Day, Units, Workshop
from workshops.models.enrolment import (
    Enrolment,
    EnrolmentLimit,
    EnrolmentStatus,
    EnrolmentWish,
    Knife,
    Limit,
    SeatChange,
    TradeJob,
    WishKind,
)
from workshops.models.imports import PeopleImport
from workshops.models.jobs import Job, JobState
from workshops.models.links import CardLink, FeedLink
from workshops.models.meals import Meal
from workshops.models.money import Cost, CostBasis, LedgerEntry, LedgerKind
from workshops.models.people import (
    Allergen,
    Attendee,
    AttendeeAllergen,
    Household,
    StaffMember,
    StaffRole,
)
from workshops.models.pulse import Pulse, Topic
from workshops.models.sign_ups import (
    Letter,
    LetterKind,
    LetterState,
    ShareWanted,
    SignUp,
    Waiver,
    WaiverText,
)
from workshops.models.users import User

__all__ = [
    "Allergen",
    "Animal",
    "AnimalStatus",
    "AnswerChange",
    "Attempt",
    "Attendee",
    "AttendeeAllergen",
    "Basis",
    "Break",
    "CardLink",
    "Coat",
    "Cost",
    "CostBasis",
    "Day",
    "Enrolment",
    "EnrolmentLimit",
    "EnrolmentStatus",
    "EnrolmentWish",
    "FeedLink",
    "Household",
    "Job",
    "JobState",
    "Knife",
    "LedgerEntry",
    "LedgerKind",
    "Letter",
    "LetterKind",
    "LetterState",
    "Limit",
    "LocalCheck",
    "Meal",
    "Ownership",
    "PeopleImport",
    "Pulse",
    "SeatChange",
    "ShareWanted",
    "SignUp",
    "StaffMember",
    "StaffRole",
    "Topic",
    "TradeJob",
    "Treatment",
    "Units",
    "User",
    "Waiver",
    "WaiverText",
    "WishKind",
    "Workshop",
]
