"""What the kitchen's pages show, gathered once; what is typed there comes back through it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from scheduling import feeding, menus
from scheduling.feeding import Gives, Sitting, Table
from scheduling.kitchen_forms import BatchForm, MenuForm, taken_sittings
from scheduling.menus import NothingToMakeError
from stations.cautions import Caution
from stations.models import KitchenBatch, PantryFood, Signal
from stations.trade.cooking import USDA_CHART, Product
from stations.trade.foods import FOODS
from stations.trade.measures import celsius
from stations.trade.menu import ToBuy
from workshops.forms.layout import Data
from workshops.models import Workshop
from workshops.quantities import TEMPERATURE

CAUTIONS = (
    Caution(
        signal=Signal.NOTICE,
        text="A meal for paying guests is cooked from inspected pork that the farm bought, unless "
        "the local authority has agreed in writing to other meat.",
        source_line="9 CFR 303.1(d)(2)(iv) covers inspected and passed meat only (published); "
        "ask the local authority",
    ),
    Caution(
        signal=Signal.WARNING,
        text="A list of foods knows no label. Read the label of what was bought (“may contain” is "
        "only there), ask the person, and keep a spoon, a board and a pot apart.",
        source_line="the nine allergens of the FASTER Act (published); common practice, no source",
    ),
)


@dataclass(frozen=True, kw_only=True)
class KitchenPage:
    """The kitchen of one workshop."""

    workshop: Workshop
    tables: tuple[Table, ...]
    batches: list[KitchenBatch]
    gives: tuple[Gives, ...]
    store: list[PantryFood]
    batch_form: BatchForm
    menu_form: MenuForm

    @property
    def is_refused(self) -> bool:
        """Whether something typed was refused."""
        return any(form.is_bound and form.errors for form in (self.batch_form, self.menu_form))

    @cached_property
    def days(self) -> list[tuple[Table, tuple[Sitting, ...], list[KitchenBatch]]]:
        """Each day: its people, its sittings, and its products to take home."""
        seated = feeding.sittings(self.tables, self.batches)
        return [
            (
                table,
                seated[table.day.pk],
                [one for one in self.batches if one.day_id == table.day.pk and not one.meal_id],
            )
            for table in self.tables
        ]

    @property
    def shopping(self) -> tuple[ToBuy, ...]:
        """What to buy."""
        return menus.to_buy(self.batches, self.gives, self.store)

    @property
    def foods(self) -> list[str]:
        """The rows of the store."""
        return menus.foods_asked(self.batches, self.store)

    def add_batch(self) -> KitchenBatch | None:
        """Write down what was typed; None where it is refused, with the reason at the form."""
        if not self.batch_form.is_valid():
            return None
        wanted = self.batch_form.wanted()
        table = next(one for one in self.tables if one.day == wanted.day)
        try:
            return menus.add(wanted, table, self.gives)
        except NothingToMakeError as refusal:
            self.batch_form.add_error("base_kg", str(refusal))
            return None


def gather(workshop: Workshop, *, batch: Data = None, menu: Data = None) -> KitchenPage:
    """Everything the page shows: a fixed number of queries."""
    batches = menus.batches_of(workshop)
    all_tables = feeding.tables(workshop)
    return KitchenPage(
        workshop=workshop,
        tables=all_tables,
        batches=batches,
        gives=feeding.hogs_give(feeding.hogs_in_the_kitchen(workshop), batches),
        store=list(workshop.pantry.all()),
        batch_form=BatchForm(batch, workshop=workshop),
        menu_form=MenuForm(menu, all_tables=all_tables, taken=taken_sittings(batches)),
    )


@dataclass(frozen=True, kw_only=True)
class BatchShown:
    """One batch on its own page."""

    batch: KitchenBatch
    table: Table

    @property
    def amounts(self) -> list[tuple[str, float, str]]:
        """Each food, its weight in kg, and what to know of it."""
        return [
            (food, kg, ", ".join(sorted(FOODS[food].allergens)).replace("_", " "))
            for food, kg in feeding.amounts_of(self.batch).items()
        ]

    @property
    def all_kg(self) -> float:
        """All that goes in."""
        return self.batch.made.batch_kg(base_kg=self.batch.base_kg)

    @property
    def servings(self) -> int:
        """How many eat of it."""
        return self.batch.made.servings(base_kg=self.batch.base_kg)

    @property
    def swaps(self) -> tuple[tuple[str, int, tuple[str, ...]], ...]:
        """What to change for whom."""
        return feeding.swaps_for(self.batch.made, self.table)

    @property
    def cooked(self) -> str:
        """How hot, by the consumer's chart; empty where nothing is cooked through."""
        product = self.batch.made.cooked_as
        if product is None:
            return ""
        end_c = celsius(fahrenheit=product.endpoint_f)
        shown = TEMPERATURE.shown(end_c, self.batch.day.workshop.units)
        rest = ", then 3 minutes' rest" if product is Product.WHOLE_PORK else ""
        return f"{product.words.capitalize()}: {shown} at the coldest place{rest}. [{USDA_CHART}]"


def batch_of(workshop: Workshop, batch: KitchenBatch) -> BatchShown:
    """One batch with the people of its day."""
    table = next(one for one in feeding.tables(workshop) if one.day.pk == batch.day_id)
    return BatchShown(batch=batch, table=table)
