"""The equipment page: counts, the rest after heavy work, and one station's handling settings."""

from __future__ import annotations

from collections.abc import Iterable

from django import forms

from stations.equipping import Count
from stations.fields import PERCENT, SiField
from stations.models import Equipment, HandlingSetup
from workshops.forms.layout import Data, KeptForm, beside, group, helper
from workshops.quantities import WEIGHT

MOST_COUNTED = 999
MOST_REST_MIN = 480


class CountsForm(KeptForm, forms.Form):
    """How many of each thing there are; a box each, and the number it was read as."""

    def __init__(self, data: Data = None, *, equipment: Iterable[Equipment]) -> None:
        super().__init__(data)
        self.equipment = list(equipment)
        for thing in self.equipment:
            self.fields[f"count{thing.pk}"] = forms.IntegerField(
                label=thing.name,
                min_value=0,
                max_value=MOST_COUNTED,
                initial=thing.count,
                widget=forms.NumberInput(attrs={"inputmode": "numeric", "class": "count-box"}),
            )
            self.fields[f"was{thing.pk}"] = forms.IntegerField(
                initial=thing.count, widget=forms.HiddenInput
            )
        self.need_words()

    def rows(self) -> list[tuple[Equipment, forms.BoundField, forms.BoundField]]:
        """Each thing with its two boxes."""
        return [
            (thing, self[f"count{thing.pk}"], self[f"was{thing.pk}"]) for thing in self.equipment
        ]

    def counts(self) -> dict[Equipment, Count]:
        """What was typed, after ``is_valid``."""
        typed = self.cleaned_data
        return {
            thing: Count(was=typed[f"was{thing.pk}"], now=typed[f"count{thing.pk}"])
            for thing in self.equipment
        }

    def tell_lost(self, lost: Iterable[Equipment]) -> None:
        """Say which counts someone else changed meanwhile; nothing was written."""
        for thing in lost:
            self.add_error(
                f"count{thing.pk}",
                "Someone else changed this count meanwhile. Look again, then save.",
            )


class RestForm(KeptForm, forms.Form):
    """Minutes between two heavy duties of one person."""

    minutes = forms.IntegerField(
        label="Rest after a heavy duty, minutes", min_value=0, max_value=MOST_REST_MIN
    )


class HandlingForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """What one station moves a hog with."""

    hoist_rated_kg = SiField(
        quantity=WEIGHT,
        low=20,
        high=20_000,
        required=False,
        label="The hoist is rated for",
        help_text="From its plate. Empty: not known, and the lead is asked.",
    )
    anchor_rated_kg = SiField(
        quantity=WEIGHT,
        low=20,
        high=20_000,
        required=False,
        label="The beam or post above it is rated for",
        help_text="From whoever built or checked it. Empty: not known.",
    )
    fore_share = SiField(
        quantity=PERCENT,
        low=30,
        high=80,
        si=0.01,
        label="Part of the weight on the fore chain",
        help_text="56 is from memory; no published figure was found. Weigh it if you can.",
    )
    submerged = SiField(
        quantity=PERCENT,
        low=0,
        high=100,
        si=0.01,
        required=False,
        label="Part of the hog under water",
        help_text="Empty: 90 where the water covers it whole, 50 where half (common practice).",
    )

    class Meta:
        model = HandlingSetup
        fields = [
            "work",
            "ramp_deg",
            "has_boards",
            "hoisting",
            "tackle_parts",
            "chain_wire",
            "chain_mark",
            "chain_tagged",
            "chain_legs",
            "chain_angle_deg",
            "held",
            "hoist_rated_kg",
            "anchor_rated_kg",
            "fore_share",
            "submerged",
            "fore_share_weighed",
            "drag_mu",
            "slope_deg",
        ]

    def __init__(self, data: Data = None, *, handling: HandlingSetup, units: str) -> None:
        super().__init__(data, instance=handling)
        for box in self.fields.values():
            if isinstance(box, SiField):
                box.speak(units)
        self.need_words()
        self.helper = helper(
            "work",
            group("Ramp and ground", beside("ramp_deg", "slope_deg", "drag_mu"), "has_boards"),
            group(
                "Hoist or tackle",
                beside("hoisting", "tackle_parts"),
                beside("hoist_rated_kg", "anchor_rated_kg"),
            ),
            group(
                "Chains or sling",
                beside("chain_wire", "chain_mark"),
                "chain_tagged",
                beside("chain_legs", "chain_angle_deg", "held"),
            ),
            group(
                "How the hog lies",
                "fore_share",
                "fore_share_weighed",
                "submerged",
            ),
        )
