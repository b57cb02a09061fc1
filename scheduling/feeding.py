"""Who is at the table each day, what the hogs give the kitchen, and whom a meal leaves without.

The only translator between rows and the trade's recipes and menus. Names and words about what
someone eats are health detail: they are here for those who may see them; others get counts.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import time
from functools import cached_property

from scheduling.models import Attendance, Turnout
from stations.models import KitchenBatch
from stations.trade.course_recipes import COURSE_RECIPES
from stations.trade.diets import Diet, read_diet
from stations.trade.foods import FOODS, Allergen, Eater, Kind
from stations.trade.recipes import Recipe, swapped, trim_expected
from stations.trade.yields import Dressed, Expected, cold_carcass, hot_carcass
from workshops.models import Animal, AnimalStatus, Day, Enrolment, Workshop

KIND_WORDS = {
    Kind.PORK: "no pork",
    Kind.MEAT: "no meat",
    Kind.ANIMAL: "nothing from animals",
    Kind.ALCOHOL: "no alcohol",
    Kind.GLUTEN: "no gluten",
}
ALLERGEN_WORDS = {
    Allergen.TREE_NUTS: "tree nuts",
    Allergen.SHELLFISH: "crustacean shellfish",
    Allergen.SOY: "soybeans",
}
TRIM_FOODS = ("lean trim", "back fat", "liver", "skin", "head meat")


def words_of(found: Allergen | Kind) -> str:
    """What speaks against a food, as it is said in the kitchen."""
    if isinstance(found, Kind):
        return KIND_WORDS[found]
    return f"no {ALLERGEN_WORDS.get(found, found.value)}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Guest:
    """Someone at the table: as the menu sees them, and as people call them."""

    eater: Eater
    name: str
    diet: Diet


@dataclass(frozen=True, kw_only=True)
class Table:
    """The people of one day."""

    day: Day
    guests: tuple[Guest, ...]

    @property
    def size(self) -> int:
        """How many."""
        return len(self.guests)

    @property
    def unread_size(self) -> int:
        """How many wrote something that nobody but a person can read."""
        return len(self.unread)

    @property
    def eaters(self) -> tuple[Eater, ...]:
        """As the menu sees them."""
        return tuple(guest.eater for guest in self.guests)

    @cached_property
    def needs(self) -> tuple[tuple[str, int, tuple[str, ...]], ...]:
        """Each thing to keep away: the words, from how many, and from whom."""
        who: defaultdict[str, list[str]] = defaultdict(list)
        for guest in self.guests:
            avoids = guest.eater.avoids
            if Kind.MEAT in avoids:  # no meat says no pork too
                avoids = avoids - {Kind.PORK}
            every: list[Allergen | Kind] = [*guest.eater.allergens, *avoids]
            for found in sorted(every):
                who[words_of(found)].append(guest.name)
        return tuple((words, len(names), tuple(names)) for words, names in sorted(who.items()))

    @cached_property
    def unread(self) -> tuple[Guest, ...]:
        """Those whose words a person must read: nothing in them was recognised."""
        return tuple(guest for guest in self.guests if not guest.diet.is_read)

    def name_of(self, eater: Eater) -> str:
        """How someone is called."""
        return next(guest.name for guest in self.guests if guest.eater == eater)


def tables(workshop: Workshop) -> tuple[Table, ...]:
    """The people of each day, staff included: a fixed number of queries.

    Away today, or a stay that does not touch the day, is not at the table.
    """
    days = list(workshop.days.prefetch_related("breaks"))
    seats = list(Enrolment.objects.for_workshop(workshop).confirmed().with_answers())
    gone = {
        (row.day_id, row.enrolment_id)
        for row in Attendance.objects.filter(day__in=days)
        if not Turnout(row.turnout).can_be_placed
    }
    staff = [
        Guest(eater=Eater(id=f"s{one.pk}"), name=one.name, diet=read_diet(""))
        for one in workshop.staff.all()
    ]
    guests = {seat.pk: _guest(seat) for seat in seats}
    made = []
    for day in days:
        day.workshop = workshop
        here = [
            guests[seat.pk] for seat in seats if (day.pk, seat.pk) not in gone and _stays(seat, day)
        ]
        made.append(Table(day=day, guests=(*here, *staff)))
    return tuple(made)


def _guest(seat: Enrolment) -> Guest:
    diet = read_diet(seat.attendee.diet)
    ticked = frozenset(Allergen(row.allergen) for row in seat.attendee.allergens.all())
    eater = Eater(id=f"a{seat.pk}", allergens=ticked | diet.allergens, avoids=diet.avoids)
    return Guest(eater=eater, name=str(seat.attendee), diet=diet)


def _stays(seat: Enrolment, day: Day) -> bool:
    comes_late = seat.arrives_at and seat.arrives_at >= day.at(day.closes)
    left = seat.leaves_at and seat.leaves_at <= day.at(day.opens)
    return not (comes_late or left)


# --- what the hogs give ---------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Gives:
    """One food of the hogs' own: expected, and what of it is planned already, kg."""

    food: str
    expected: Expected
    planned_kg: float

    @property
    def left_kg(self) -> float:
        """What is not planned yet, of the likely weight."""
        return self.expected.likely_kg - self.planned_kg

    @property
    def is_short(self) -> bool:
        """Whether more is planned than the hogs will likely give."""
        return self.left_kg < -1e-9


def hogs_in_the_kitchen(workshop: Workshop) -> list[Animal]:
    """Those that take part."""
    taking_part = [status for status in AnimalStatus if status.takes_part]
    return list(workshop.animals.filter(status__in=taking_part))


def hogs_give(
    hogs: Iterable[Animal], batches: Iterable[KitchenBatch], *, dressed: Dressed = Dressed.SKIN_ON
) -> tuple[Gives, ...]:
    """All hogs together, by food. A hog not weighed hot is taken by the table of dressing."""
    sums: defaultdict[str, list[Expected]] = defaultdict(list)
    for hog in hogs:
        live = float(hog.live_kg)
        hot = float(hog.carcass_kg) if hog.carcass_kg else hot_carcass(live, dressed).likely_kg
        trim = trim_expected(live_kg=live, cold_kg=cold_carcass(hot).likely_kg)
        for food, expected in trim.items():
            sums[food].append(expected)
    planned = hog_needs(batches)
    return tuple(
        Gives(food=food, expected=_sum(parts), planned_kg=planned[food])
        for food, parts in sums.items()
    )


def hog_needs(batches: Iterable[KitchenBatch]) -> defaultdict[str, float]:
    """The hogs' own foods that are planned, kg."""
    needed: defaultdict[str, float] = defaultdict(float)
    for batch in batches:
        if batch.from_hogs:
            for food, kg in amounts_of(batch).items():
                if food in TRIM_FOODS:
                    needed[food] += kg
    return needed


def amounts_of(batch: KitchenBatch) -> dict[str, float]:
    """Every weight of a batch, kg, the base first."""
    recipe = batch.made
    parts = {recipe.base: 1.0, **recipe.shares}
    return {food: batch.base_kg * share for food, share in parts.items()}


def _sum(parts: Sequence[Expected]) -> Expected:
    return Expected(
        low_kg=sum(part.low_kg for part in parts),
        likely_kg=sum(part.likely_kg for part in parts),
        high_kg=sum(part.high_kg for part in parts),
        basis=f"{len(parts)} hogs",
        source=parts[0].source,
    )


# --- who is fed -----------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class Sitting:
    """The dishes that are ready together, and whom none of them suits."""

    table: Table
    ready_by: time | None
    batches: tuple[KitchenBatch, ...]

    @cached_property
    def unfed(self) -> tuple[Guest, ...]:
        """Whom no dish suits."""
        return tuple(
            guest
            for guest in self.table.guests
            if not any(batch.made.suits(guest.eater) for batch in self.batches)
        )

    @property
    def unfed_size(self) -> int:
        """How many that is."""
        return len(self.unfed)

    @property
    def servings(self) -> int:
        """Servings of all its dishes."""
        return sum(batch.made.servings(base_kg=batch.base_kg) for batch in self.batches)

    @property
    def too_few(self) -> int:
        """How many servings are lacking, one for each at the table."""
        return max(0, len(self.table.guests) - self.servings)

    @cached_property
    def would_feed(self) -> tuple[str, ...]:
        """Dishes that would suit everyone left without: as they are, or with a food swapped."""
        if not self.unfed:
            return ()
        eaters = [guest.eater for guest in self.unfed]
        found = []
        for recipe in COURSE_RECIPES:
            if recipe.cooked_as is None:  # lard is no meal
                continue
            fits = recipe if all(map(recipe.suits, eaters)) else swapped(recipe, _all_of(eaters))
            if fits is not None:
                found.append(said_with_swaps(recipe, fits))
        return tuple(found)


def _all_of(eaters: Iterable[Eater]) -> Eater:
    """One eater who must avoid what any of them must."""
    every = list(eaters)
    return Eater(
        id="all",
        allergens=frozenset().union(*(one.allergens for one in every)),
        avoids=frozenset().union(*(one.avoids for one in every)),
    )


def said_with_swaps(recipe: Recipe, changed: Recipe) -> str:
    """The name of a recipe, with what stands in place of what."""
    gone = [food for food in recipe.shares if food not in changed.shares]
    new = [food for food in changed.shares if food not in recipe.shares]
    if not gone:
        return recipe.name
    return f"{recipe.name}, {' and '.join(new or ['nothing'])} in place of {' and '.join(gone)}"


def sittings(
    all_tables: Iterable[Table], batches: Iterable[KitchenBatch]
) -> dict[int, tuple[Sitting, ...]]:
    """By day: dishes of the menu that are ready at one time, in order of time."""
    made: dict[int, tuple[Sitting, ...]] = {}
    dishes = [batch for batch in batches if batch.meal_id]
    for table in all_tables:
        by_time: defaultdict[time | None, list[KitchenBatch]] = defaultdict(list)
        for batch in dishes:
            if batch.day_id == table.day.pk:
                by_time[batch.ready_by].append(batch)
        made[table.day.pk] = tuple(
            Sitting(table=table, ready_by=at, batches=tuple(by_time[at]))
            for at in sorted(by_time, key=lambda at: at or time.max)
        )
    return made


def swaps_for(recipe: Recipe, table: Table) -> tuple[tuple[str, int, tuple[str, ...]], ...]:
    """What to change for whom: the words, for how many, and for whom; "cannot" where none will do.

    Those whom the recipe suits as it is are not named.
    """
    who: defaultdict[str, list[str]] = defaultdict(list)
    for guest in table.guests:
        if recipe.suits(guest.eater):
            continue
        changed = swapped(recipe, guest.eater)
        said = said_with_swaps(recipe, changed) if changed else "no change makes it suit"
        who[said].append(guest.name)
    return tuple((said, len(names), tuple(names)) for said, names in sorted(who.items()))


def is_pork(food: str) -> bool:
    """Whether a food comes from a hog."""
    return Kind.PORK in FOODS[food].kinds
