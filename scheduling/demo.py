"""The demo course: from a readable file to rows, once; and the sign-ins to try it with.

Every row has a natural key. A row that is already there is left as it is, whatever the file says,
so that loading twice changes nothing and never overwrites what someone has edited since.
"""

from __future__ import annotations

import os
import secrets
import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, TypeVar

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model
from django.utils import timezone

from stations.models import (
    Duty,
    Equipment,
    HandlingSetup,
    HazardNote,
    Stage,
    StageGap,
    Station,
    Trough,
)
from workshops import linking, signing_up
from workshops.models import (
    Animal,
    AnimalStatus,
    Attendee,
    AttendeeAllergen,
    Break,
    Day,
    Enrolment,
    EnrolmentLimit,
    EnrolmentStatus,
    Household,
    Knife,
    Ownership,
    StaffMember,
    User,
    Workshop,
)
from workshops.roles import Role, ensure_roles
from workshops.seating import settle

COURSE = settings.BASE_DIR / "fixtures" / "demo_course.toml"

# A table of the file: tomllib gives no narrower type, and full_clean judges every value.
Row = dict[str, Any]
M = TypeVar("M", bound=Model)


class DemoError(Exception):
    """The file cannot be loaded; the sentence names the row and what is wrong with it."""


def load(path: Path) -> Workshop:
    """Make the workshop of the file with all that belongs to it, or nothing at all."""
    with transaction.atomic():
        return _Loader(_read(path)).load()


def slug_of(path: Path) -> str:
    """The slug of the workshop that the file describes."""
    return str(_read(path)["workshop"]["slug"])


def _read(path: Path) -> Row:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise DemoError(f"{path.name} is not readable as TOML: {error}.") from error


class _Loader:
    """One reading of one file; each method makes the rows of one chapter."""

    def __init__(self, course: Row) -> None:
        self.course = course
        self.households: dict[str, Household] = {}
        self.stations: dict[str, Station] = {}
        self.duties: dict[tuple[str, str], Duty] = {}
        self.stages: dict[str, Stage] = {}

    def load(self) -> Workshop:
        """Top to bottom, as the file is written."""
        row = dict(self.course["workshop"])
        waiver = row.pop("waiver", "")
        self.workshop = _ensure(Workshop, f"Workshop {row['slug']}", {"slug": row.pop("slug")}, row)
        if waiver and signing_up.current_waiver(self.workshop) is None:
            signing_up.edit_waiver(self.workshop, waiver, now=timezone.now())
        self._days()
        self._staff()
        self._households()
        self._animals()
        self._stations()
        self._stages()
        self._gaps()
        self._equipment()
        return self.workshop

    def _days(self) -> None:
        for row in _rows(self.course, "day"):
            where = f"Day {row['date']}"
            pauses = row.pop("breaks", [])
            key = {"workshop": self.workshop, "date": row.pop("date")}
            day = _ensure(Day, where, key, row)
            for pause in pauses:
                rest = {"day": day, "starts": pause["starts"]}
                _ensure(Break, f"{where}, break {pause['name']}", rest, pause)

    def _staff(self) -> None:
        for row in _rows(self.course, "staff"):
            row.pop("sign_in", None)
            key = {"workshop": self.workshop, "name": row.pop("name")}
            _ensure(StaffMember, f"Staff {key['name']}", key, row)

    def _households(self) -> None:
        for row in _rows(self.course, "household"):
            attendees = row.pop("attendee")
            key = {"name": row.pop("name"), "email": row.pop("email")}
            household = _ensure(Household, f"Household {key['name']}", key, row)
            self.households[household.name] = household
            for person in attendees:
                self._attendee(household, dict(person))

    def _attendee(self, household: Household, row: Row) -> None:
        where = f"Attendee {row['given_name']}"
        limits, allergens = row.pop("limits", []), row.pop("allergens", [])
        signed_by = row.pop("signed_by", "")
        seat = {
            "lift_kg": row.pop("lift_kg", None),
            "knife": _knife(where, row.pop("knife")),
            "arrives_at": self._moment(row.pop("arrives_at", None)),
            "health_note": row.pop("health_note", ""),
        }
        names = ("given_name", "family_name")
        key = {"household": household} | {name: row.pop(name) for name in names}
        person = _ensure(Attendee, where, key, row)
        at = {"workshop": self.workshop, "attendee": person}
        is_new = not Enrolment.objects.filter(**at).exists()
        enrolment = _ensure(Enrolment, where, at, seat)
        if is_new:
            settle(enrolment, EnrolmentStatus.CONFIRMED, now=timezone.now())
        for limit in limits:
            _ensure(EnrolmentLimit, where, {"enrolment": enrolment, "limit": limit}, {})
        for allergen in allergens:
            _ensure(AttendeeAllergen, where, {"attendee": person, "allergen": allergen}, {})
        waiver = signing_up.current_waiver(self.workshop)
        if signed_by and waiver:
            signing_up.accept_waiver(enrolment, waiver, signed_by, now=timezone.now())

    def _moment(self, wall: datetime | None) -> datetime | None:
        """A time on the farm's clock, aware."""
        return wall and wall.replace(tzinfo=self.workshop.zone)

    def _animals(self) -> None:
        for row in _rows(self.course, "animal"):
            where = f"Hog {row['tag']}"
            owners = row.pop("owners")
            key = {"workshop": self.workshop, "tag": row.pop("tag")}
            animal = _ensure(Animal, where, key, {"status": AnimalStatus.CHOSEN} | row)
            for owner in owners:
                name = owner.pop("household", None)
                household = name and _named(where, "household", name, self.households)
                _ensure(
                    Ownership, f"{where}, owner", {"animal": animal, "household": household}, owner
                )

    def _stations(self) -> None:
        for row in _rows(self.course, "station"):
            where = f"Station {row['letter']}"
            notes, duties = row.pop("note"), row.pop("duty")
            trough, handling = row.pop("trough", None), row.pop("handling", None)
            key = {"workshop": self.workshop, "letter": row.pop("letter")}
            station = _ensure(Station, where, key, row)
            self.stations[station.letter] = station
            _notes(where, station, None, notes)
            for duty in duties:
                self._duty(where, station, dict(duty))
            if trough:
                _ensure(Trough, f"{where}, trough", {"station": station}, trough)
            if handling:
                _ensure(HandlingSetup, f"{where}, handling", {"station": station}, handling)

    def _duty(self, where: str, station: Station, row: Row) -> None:
        where = f"{where}, duty {row['name']}"
        notes = row.pop("note", [])
        if "knife_floor" in row:
            row["knife_floor"] = _knife(where, row["knife_floor"])
        duty = _ensure(Duty, where, {"station": station, "name": row.pop("name")}, row)
        self.duties[station.letter, duty.name] = duty
        _notes(where, station, duty, notes)

    def _stages(self) -> None:
        for order, row in enumerate(_rows(self.course, "stage"), start=1):
            where = f"Stage {row['key']}"
            letter = row["station"]
            row |= {"order": order, "station": _named(where, "station", letter, self.stations)}
            row |= dict(
                zip(("least_min", "expected_min", "most_min"), row.pop("minutes"), strict=True)
            )
            duties = [
                _named(where, "duty", (letter, name), self.duties) for name in row.pop("duties")
            ]
            key = {"workshop": self.workshop, "key": row.pop("key")}
            is_new = not Stage.objects.filter(**key).exists()
            stage = self.stages[key["key"]] = _ensure(Stage, where, key, row)
            if is_new:
                stage.duties.set(duties)

    def _gaps(self) -> None:
        for row in _rows(self.course, "gap"):
            where = f"Gap {row['from']} to {row['to']}"
            key = {
                "before": _named(where, "stage", row.pop("from"), self.stages),
                "after": _named(where, "stage", row.pop("to"), self.stages),
            }
            row |= dict(zip(("least_min", "most_min"), row.pop("minutes"), strict=False))
            _ensure(StageGap, where, key, row)

    def _equipment(self) -> None:
        for row in _rows(self.course, "equipment"):
            where = f"Equipment {row['name']}"
            letter = row.pop("station", None)
            row["station"] = letter and _named(where, "station", letter, self.stations)
            key = {"workshop": self.workshop, "name": row.pop("name")}
            _ensure(Equipment, where, key, row)


def _rows(course: Row, table: str) -> list[Row]:
    return [dict(row) for row in course[table]]


def _notes(where: str, station: Station, duty: Duty | None, notes: Iterable[Row]) -> None:
    for note in notes:
        key = {"station": station, "duty": duty, "text": note["text"]}
        _ensure(HazardNote, f"{where}, note", key, note)


K = TypeVar("K")


def _named(where: str, kind: str, name: K, known: dict[K, M]) -> M:
    if name not in known:
        raise DemoError(f"{where} names the {kind} {name!r}, which the file does not have; add it.")
    return known[name]


def _knife(where: str, word: str) -> Knife:
    try:
        return Knife[word.upper()]
    except KeyError:
        words = ", ".join(knife.name.lower() for knife in Knife)
        raise DemoError(f"{where}: knife {word!r} is not known; write one of {words}.") from None


def _ensure(model: type[M], where: str, key: Row, values: Row) -> M:
    """The row with that key, made and fully checked if it was not there, else untouched."""
    rows = model._default_manager
    # A key without a household or duty must look for the empty column, not for any.
    wanted = {
        (f"{name}__isnull" if value is None else name): (True if value is None else value)
        for name, value in key.items()
    }
    found = rows.filter(**wanted).first()
    if found is not None:
        return found
    try:
        made = model(**key | values)
        made.full_clean()
    except (TypeError, ValidationError) as error:
        said = "; ".join(error.messages) if isinstance(error, ValidationError) else str(error)
        raise DemoError(f"{where}: {said}") from error
    made.save()
    # Read back, so that a weight given as text is a number from here on.
    return rows.get(pk=made.pk)


# --- sign-ins and links ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class SignIn:
    """A user made just now; the only time the password is known."""

    username: str
    password: str


CONSONANTS, VOWELS = "bdfghklmnprstvz", "aeiou"
WORDS = 4  # 75 syllables, two a word: 50 bits


def readable_password() -> str:
    """Four short words that can be said aloud and typed with cold hands."""

    def word() -> str:
        return "".join(secrets.choice(CONSONANTS) + secrets.choice(VOWELS) for _ in range(2))

    return "-".join(word() for _ in range(WORDS))


def sign_ins_file() -> Path:
    """Where the first passwords are kept, readable by the owner of the folder alone."""
    return Path(settings.VAR) / "sign-ins.txt"


@transaction.atomic
def make_sign_ins(workshop: Workshop, path: Path) -> list[SignIn]:
    """Make the organizer, lead and helper where they are missing, and link them to the staff."""
    groups = ensure_roles()
    members = {
        row["sign_in"]: workshop.staff.filter(name=row["name"]).first()
        for row in _rows(_read(path), "staff")
        if "sign_in" in row
    }
    made: list[SignIn] = []
    for role in Role:
        if User.objects.filter(username=role.value).exists():
            continue
        new = SignIn(username=role.value, password=readable_password())
        user = User.objects.create(
            username=new.username,
            password=make_password(new.password),
            # Only the organizer may see every workshop, so only they enter the back office.
            is_staff=role is Role.ORGANIZER,
        )
        user.groups.add(groups[role])
        _link(members.get(role.value), user)
        made.append(new)
    _write_sign_ins(made)
    return made


def _link(member: StaffMember | None, user: User) -> None:
    if member is not None and member.user is None:
        member.user = user
        user.first_name = member.name
        member.save()
        user.save()


def _write_sign_ins(made: list[SignIn]) -> None:
    """Replace the file as the last act before the users are committed; keep nothing stale."""
    if not made:
        return
    lines = [f"{new.username}  {new.password}\n" for new in made]
    handle = os.open(sign_ins_file(), os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w") as file:
        os.fchmod(file.fileno(), 0o600)
        file.writelines(lines)


def make_card_links(workshop: Workshop) -> int:
    """Give every confirmed seat its private link; returns how many were new."""
    seats = Enrolment.objects.for_workshop(workshop).confirmed().filter(link__isnull=True)
    return len([linking.renew(seat) for seat in seats])
