"""One hog's packages among its owners of record: worked out, kept as a draft, posted, handed over.

The only writer of divisions. Rows become a planner problem here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import TypedDict

from django.db import transaction

from scheduling.models import Division, DivisionLine, DivisionStatus, KindWish
from scheduling.planner.check_shares import check_shares
from scheduling.planner.errors import BadProblem
from scheduling.planner.shares import SharesAnswer, divide
from scheduling.planner.shares_problem import (
    Owner,
    SharesProblem,
    Wish,
)
from scheduling.planner.shares_problem import Package as Piece
from scheduling.planner.shares_words import explain
from stations.models import Package, PackageKind, PackageState
from workshops.models import Animal, Household, User, Workshop

FARM = "farm"
PARTS_A_PERCENT = 10  # the planner counts whole parts, at most 1000: a tenth of a per cent
SECONDS = 20.0


class NoDivisionError(Exception):
    """There is nothing to divide, or no division keeps the rules; the sentence says what would."""


class KeptOwner(TypedDict):
    """One owner's part of an answer, as it is kept; the sentences are the planner's own."""

    key: str
    name: str
    percent: float
    grams: int
    due_g: float
    kinds: list[tuple[str, int, int]]
    says: list[str]


def key_of(household_id: int | None) -> str:
    """An owner of record in the planner."""
    return f"h{household_id}" if household_id else FARM


def owners_of(animal: Animal, wishes: Mapping[str, Mapping[str, Wish]]) -> tuple[Owner, ...]:
    """The owners of record with their parts and wishes. Uses prefetched ``owners``."""
    return tuple(
        Owner(
            id=key_of(row.household_id),
            name=row.household.name if row.household else "The farm",
            parts=max(1, round(float(row.percent) * PARTS_A_PERCENT)),
            wishes=wishes.get(key_of(row.household_id), {}),
        )
        for row in animal.owners.all()
    )


def wishes_of(workshop: Workshop) -> dict[str, dict[str, Wish]]:
    """Owner to kind to wish: one query."""
    found: dict[str, dict[str, Wish]] = {}
    for row in KindWish.objects.filter(workshop=workshop):
        found.setdefault(key_of(row.household_id), {})[row.kind] = Wish(row.wish)
    return found


def problem_of(
    animal: Animal,
    packages: Sequence[Package],
    *,
    wishes: Mapping[str, Mapping[str, Wish]],
    before: Mapping[int, int | None],
) -> SharesProblem:
    """What is to be divided. ``before`` is the division shown last, package to household.

    Raises :class:`NoDivisionError` where there are no packages or no owners.
    """
    owners = owners_of(animal, wishes)
    if not packages:
        raise NoDivisionError(f"{animal} has no package yet. Pack it first.")
    if not owners:
        raise NoDivisionError(f"{animal} has no owner of record. Write its owners down first.")
    known = {owner.id for owner in owners}
    shown = {
        str(package): key_of(household)
        for package, household in before.items()
        if key_of(household) in known and any(one.pk == package for one in packages)
    }
    out = [one for one in packages if one.state == PackageState.HANDED_OVER]
    try:
        return SharesProblem(
            packages=tuple(
                Piece(id=str(one.pk), kind=one.kind, grams=one.grams) for one in packages
            ),
            owners=owners,
            handed_over={str(one.pk): shown[str(one.pk)] for one in out if str(one.pk) in shown},
            before=shown,
        )
    except BadProblem as refusal:
        raise NoDivisionError(str(refusal)) from refusal


def latest(animal: Animal) -> Division | None:
    """The draft, else what is posted: what the owners were shown last."""
    rows = Division.objects.filter(animal=animal).exclude(status=DivisionStatus.PAST)
    return rows.order_by("-made_at", "-pk").prefetch_related("lines").first()


def divide_hog(
    animal: Animal, *, by: User | None, now: datetime, seconds: float = SECONDS
) -> Division:
    """Work a division out and keep it as the hog's draft, in place of an older draft.

    As little as can be is moved from the division shown before; what was handed over stays. The
    answer passes the check without the solver, or nothing is kept. Raises
    :class:`NoDivisionError`.
    """
    packages = list(Package.objects.to_share().filter(animal=animal))
    last = latest(animal)
    before = {line.package_id: line.household_id for line in last.lines.all()} if last else {}
    wishes = wishes_of(animal.workshop)
    problem = problem_of(animal, packages, wishes=wishes, before=before)
    answer = divide(problem, seconds=seconds)
    broken = check_shares(problem, answer.division) if answer.status.has_plan else ()
    if not answer.status.has_plan or broken:
        raise NoDivisionError(answer.refusal or " ".join(one.sentence for one in broken))
    return _keep(animal, answer, by=by, now=now)


@transaction.atomic
def _keep(animal: Animal, answer: SharesAnswer, *, by: User | None, now: datetime) -> Division:
    # The hog's row is locked: two who press at once leave one draft.
    Animal.objects.select_for_update().get(pk=animal.pk)
    Division.objects.filter(animal=animal, status=DivisionStatus.DRAFT).delete()
    made = Division.objects.create(animal=animal, answer=kept(answer), made_at=now, made_by=by)
    DivisionLine.objects.bulk_create(
        DivisionLine(division=made, package_id=int(package), household_id=_household_id(owner))
        for package, owner in answer.division.items()
    )
    return made


def _household_id(key: str) -> int | None:
    return None if key == FARM else int(key[1:])


def kept(answer: SharesAnswer) -> dict[str, object]:
    """What is remembered of an answer: how good it is, and what each owner is told."""
    owners: list[KeptOwner] = []
    words = {kind.value: kind.label for kind in PackageKind}
    for one in explain(answer.measures):
        owners.append(
            KeptOwner(
                key=one.owner.id,
                name=one.owner.name,
                percent=one.owner.parts / PARTS_A_PERCENT,
                grams=one.grams,
                due_g=one.due_g,
                kinds=[(words[kind], count, grams) for kind, count, grams in one.kinds],
                # The first sentence is the weight in kilograms: the page says it in its own units.
                says=list(one.sentences[1:]),
            )
        )
    return {
        "status": answer.status.value,
        "goals": [{"name": goal.name, "says": goal.sentence()} for goal in answer.goals],
        "allowed_g": answer.problem.allowed_g,
        "seconds": round(answer.seconds, 1),
        "seed": answer.seed,
        "moved": answer.measures.moved,
        "owners": owners,
    }


# --- posted and handed over -----------------------------------------------------------------


@transaction.atomic
def post(division: Division, *, by: User | None, now: datetime) -> Division:
    """What the owners see from now on; the one before is kept as replaced.

    Re-checked without the solver against the packages as they are now. A second press changes
    nothing. Raises :class:`NoDivisionError` where a package went missing, came or was corrected.
    """
    locked = Division.objects.select_for_update().get(pk=division.pk)
    if locked.status == DivisionStatus.POSTED:
        return locked
    if locked.status == DivisionStatus.PAST:
        raise NoDivisionError("This division was replaced by a newer one; post that.")
    changed = changed_since(locked)
    if changed:
        raise NoDivisionError(f"{changed} Divide again, then post.")
    _check(locked)
    Division.objects.filter(animal=locked.animal_id, status=DivisionStatus.POSTED).update(
        status=DivisionStatus.PAST
    )
    locked.status, locked.posted_at, locked.posted_by = DivisionStatus.POSTED, now, by
    locked.save()
    return locked


def _check(division: Division) -> None:
    animal = Animal.objects.prefetch_related("owners__household").get(pk=division.animal_id)
    lines = list(division.lines.select_related("package"))
    packages = [line.package for line in lines]
    wishes = wishes_of(animal.workshop)
    before = {line.package_id: line.household_id for line in lines}
    problem = problem_of(animal, packages, wishes=wishes, before=before)
    found = {str(line.package_id): key_of(line.household_id) for line in lines}
    broken = check_shares(problem, found)
    if broken:
        said = " ".join(one.sentence for one in broken)
        raise NoDivisionError(f"{said} Divide again, then post.")


def changed_since(division: Division) -> str:
    """Which packages came or went since it was made, as a sentence; empty where none did."""
    now_here = dict(
        Package.objects.to_share().filter(animal=division.animal_id).values_list("pk", "number")
    )
    lines = {line.package_id: line.package.number for line in division.lines.all()}
    return difference(lines, now_here)


def difference(divided: Mapping[int, int], here: Mapping[int, int]) -> str:
    """Numbers that were divided and are not here, and the other way round, as a sentence."""
    gone = sorted(divided[pk] for pk in divided.keys() - here.keys())
    new = sorted(here[pk] for pk in here.keys() - divided.keys())
    said = []
    if gone:
        said.append(f"No longer here: {_numbers(gone)}.")
    if new:
        said.append(f"Not yet divided: {_numbers(new)}.")
    return " ".join(said)


def _numbers(numbers: Sequence[int]) -> str:
    word = "package" if len(numbers) == 1 else "packages"
    return f"{word} {', '.join(map(str, numbers))}"


@transaction.atomic
def hand_over(division: Division, key: str) -> int:
    """One owner has taken their pile of a posted division; answers how many packages.

    Raises :class:`NoDivisionError` for a draft.
    """
    return _handed(division, key, was=PackageState.HERE, becomes=PackageState.HANDED_OVER)


@transaction.atomic
def hand_back(division: Division, key: str) -> int:
    """The hand-over was a mistake; the pile is in the cooler again."""
    return _handed(division, key, was=PackageState.HANDED_OVER, becomes=PackageState.HERE)


def _handed(division: Division, key: str, *, was: PackageState, becomes: PackageState) -> int:
    if division.status != DivisionStatus.POSTED:
        raise NoDivisionError("Only a posted division is handed over; post it first.")
    mine = [line.package_id for line in division.lines.all() if key_of(line.household_id) == key]
    return Package.objects.filter(pk__in=mine, state=was).update(state=becomes)


# --- wishes ---------------------------------------------------------------------------------


@transaction.atomic
def keep_wishes(
    workshop: Workshop, typed: Iterable[tuple[Household | None, PackageKind, Wish]]
) -> None:
    """Write every wish as typed; "as it comes" is what nobody needs to write, so it has no row."""
    KindWish.objects.filter(workshop=workshop).delete()
    KindWish.objects.bulk_create(
        KindWish(workshop=workshop, household=household, kind=kind, wish=wish)
        for household, kind, wish in typed
        if wish is not Wish.AS_IT_COMES
    )
