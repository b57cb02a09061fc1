"""How much each kind of package is worth to each owner of record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from django import forms

from scheduling import dividing
from scheduling.planner.shares_problem import Wish
from stations.models import PackageKind
from workshops.forms.layout import Data, KeptForm
from workshops.models import Animal, Household, Workshop


class WishesForm(KeptForm, forms.Form):
    """A row an owner, a choice a kind."""

    def __init__(self, data: Data = None, *, workshop: Workshop, hogs: Iterable[Animal]) -> None:
        super().__init__(data)
        self.owners: dict[str, Household | None] = {}
        for hog in hogs:
            for row in hog.owners.all():
                self.owners.setdefault(dividing.key_of(row.household_id), row.household)
        known = dividing.wishes_of(workshop)
        choices = [(str(wish.value), wish.words) for wish in reversed(Wish)]
        for key in self.owners:
            for kind in PackageKind:
                self.fields[f"{key}-{kind}"] = forms.TypedChoiceField(
                    choices=choices,
                    coerce=lambda typed: Wish(int(typed)),
                    initial=str(known.get(key, {}).get(kind, Wish.AS_IT_COMES).value),
                    label=kind.label,
                )

    @property
    def rows(self) -> Iterator[tuple[str, list[forms.BoundField]]]:
        """Each owner's name with its boxes."""
        for key, household in self.owners.items():
            name = str(household) if household else "The farm"
            yield name, [self[f"{key}-{kind}"] for kind in PackageKind]

    def typed(self) -> Iterator[tuple[Household | None, PackageKind, Wish]]:
        """Every wish, after ``is_valid``."""
        for key, household in self.owners.items():
            for kind in PackageKind:
                yield household, kind, self.cleaned_data[f"{key}-{kind}"]
