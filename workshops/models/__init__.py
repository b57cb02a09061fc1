"""Every model of the app, by subject."""

from workshops.models.animals import Animal, AnimalStatus, Basis, Coat, Ownership
from workshops.models.courses import Break, Day, Units, Workshop
from workshops.models.enrolment import Enrolment, EnrolmentLimit, EnrolmentStatus, Knife, Limit
from workshops.models.jobs import Job, JobState
from workshops.models.links import CardLink
from workshops.models.people import Attendee, Household, StaffMember, StaffRole
from workshops.models.users import User

__all__ = [
    "Animal",
    "AnimalStatus",
    "Attendee",
    "Basis",
    "Break",
    "CardLink",
    "Coat",
    "Day",
    "Enrolment",
    "EnrolmentLimit",
    "EnrolmentStatus",
    "Household",
    "Job",
    "JobState",
    "Knife",
    "Limit",
    "Ownership",
    "StaffMember",
    "StaffRole",
    "Units",
    "User",
    "Workshop",
]
