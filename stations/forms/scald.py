"""The trough, its fire, kettle and weather, as the lead plans with them; and an attendee's own."""

from __future__ import annotations

from typing import Any

from django import forms

from stations import troughing
from stations.fields import ALTITUDE, HEAT_RATE, INSIDE, KG_PER_L, PERCENT, WIND, SiField
from stations.models import ScaldMethod, Station, Trough
from stations.refusals import refused
from stations.trade.coats import falling_band
from stations.trade.errors import OutOfRange
from stations.troughing import TroughChangedMeanwhile
from workshops.forms.layout import Data, KeptForm, beside, group, helper, show_again
from workshops.models import Animal, Coat, Workshop
from workshops.quantities import TEMPERATURE, VOLUME, WEIGHT

BAND = falling_band()
# Which field can mend what a rule of the trade refuses; a refusal not named here stands on top.
_MENDS = {
    "hog length": "length_m",
    "hog thickness": "width_m",
    "water depth": "depth_m",
    "water left beside the hog": "length_m",
    "wanted temperature": "water_kg",
    "water": "water_kg",
    "target temperature": "fire_w",
    "fire": "fire_w",
    "barrel diameter": "width_m",
    "barrel height": "length_m",
    "barrel tilt": "length_m",
}

MEASURES = (
    "length_m", "width_m", "depth_m", "wall_kg", "water_kg", "tap_c", "fire_w", "fire_efficiency",
    "kettle_l", "kettle_w", "kettle_efficiency", "bucket_kg", "air_c", "humidity", "wind_m_s",
)  # fmt: skip
CHOICES = ("method", "wall", "cover", "fuel", "kettle_fuel", "season", "fire_stays")


class TroughForm(KeptForm, forms.ModelForm):  # type: ignore[type-arg]  # no parameter when it runs
    """What is scalded in and what heats it, in the workshop's units."""

    length_m = SiField(quantity=INSIDE, low=50, high=400, si=0.01, label="Inside length")
    width_m = SiField(quantity=INSIDE, low=30, high=200, si=0.01, label="Inside width")
    depth_m = SiField(quantity=INSIDE, low=20, high=150, si=0.01, label="Inside depth")
    wall_kg = SiField(quantity=WEIGHT, low=0, high=2000, label="Weight of the empty vessel")
    water_kg = SiField(
        quantity=VOLUME, low=5, high=5000, si=KG_PER_L, required=False,
        label="Water before the first hog", help_text="Empty: what the largest hog needs.",
    )  # fmt: skip
    tap_c = SiField(quantity=TEMPERATURE, low=1, high=60, label="Cold water")
    fire_w = SiField(
        quantity=HEAT_RATE, low=1, high=1000, si=1000.0, label="Heat of the fire, as rated",
        help_text="On a burner's plate. Wood: about 7,000 Btu/lb (16 MJ/kg) times what it burns "
        "in an hour.",
    )  # fmt: skip
    fire_efficiency = SiField(
        quantity=PERCENT, low=2, high=90, si=0.01,
        label="Share of that heat that gets into the water",
        help_text="A judgement: gas sheltered 35 to 40, in wind 20 to 25; open wood fire 10 to 15.",
    )  # fmt: skip
    kettle_l = SiField(
        quantity=VOLUME, low=5, high=200, required=False, label="Kettle for boiling water",
        help_text="Empty: no kettle.",
    )  # fmt: skip
    kettle_w = SiField(
        quantity=HEAT_RATE, low=1, high=1000, si=1000.0, label="Heat under it, as rated"
    )
    kettle_efficiency = SiField(
        quantity=PERCENT,
        low=2,
        high=90,
        si=0.01,
        label="Share of that heat that gets into the kettle",
    )
    bucket_kg = SiField(quantity=VOLUME, low=1, high=20, si=KG_PER_L, label="One bucket carries")
    air_c = SiField(quantity=TEMPERATURE, low=-30, high=45, label="Air")
    humidity = SiField(quantity=PERCENT, low=0, high=100, si=0.01, label="Humidity of the air")
    wind_m_s = SiField(quantity=WIND, low=0, high=10, label="Wind at the water")
    version = forms.CharField(required=False, widget=forms.HiddenInput)

    class Meta:
        model = Trough
        fields = [*CHOICES, "falling_scald", *MEASURES]

    def __init__(self, data: Data = None, *, trough: Trough) -> None:
        self.no_plan = ""
        seen = troughing.version_of(trough) if trough.pk else ""
        super().__init__(data, instance=trough, initial={"version": seen})
        self.speak(trough.station.workshop.units)
        self.fields["length_m"].help_text = "A barrel: its height."
        self.fields["width_m"].help_text = "A barrel: its diameter."
        hot, cool = (
            " to ".join(
                TEMPERATURE.shown(each, trough.station.workshop.units) for each in pair if each
            )
            for pair in ((BAND.strike_low_c, BAND.strike_high_c), (BAND.floor_c,))
        )
        self.fields[
            "falling_scald"
        ].help_text = (
            f"Common practice: struck at {hot} and let down towards {cool}, moving all the while."
        )
        self.need_words()
        self.helper = helper("version", *self.parts())
        # The address of a try must not carry the token; the button that keeps brings its own.
        self.helper.disable_csrf = True

    def speak(self, units: str) -> None:
        """Every measure names the unit it is typed in."""
        for field in self.fields.values():
            if isinstance(field, SiField):
                field.speak(units)

    def parts(self) -> list[object]:
        """The fields in the order of the work: vessel, water, fire, kettle, day."""
        return [
            group("Vessel", beside("method", "wall", "cover"), *vessel_rows()),
            group("Water", beside("water_kg", "tap_c")),
            group("Fire", beside("fuel", "fire_w", "fire_efficiency"), "fire_stays"),
            group(
                "Boiling water", beside("kettle_l", "bucket_kg"),
                beside("kettle_fuel", "kettle_w", "kettle_efficiency"),
            ),
            group("The day", beside("season", "air_c", "humidity", "wind_m_s"), "falling_scald"),
        ]  # fmt: skip

    def clean(self) -> dict[str, Any]:
        """Poured water needs a kettle; the database would say so too, but later."""
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        poured = typed.get("method") == ScaldMethod.POUR_OVER
        if poured and "kettle_l" in typed and typed["kettle_l"] is None:
            self.add_error("kettle_l", "Pouring over needs a kettle: say how much it holds.")
        return typed

    def refuse(self, refusal: OutOfRange) -> None:
        """Say what the plan refuses, at the field that can mend it, in the workshop's units."""
        sentence = str(refused(refusal, self.instance.station.workshop.units))
        if self.is_bound:
            self.add_error(_MENDS.get(refusal.quantity), sentence)
        else:
            self.no_plan = sentence

    @property
    def plan_refusals(self) -> list[str]:
        """Why what is kept gives no plan, for the part that shows refusals."""
        return [self.no_plan]

    def keep(self) -> bool:
        """Write the trough down; if someone else changed it meanwhile say so and answer False."""
        try:
            troughing.write_down(self.instance, seen=self.cleaned_data["version"])
        except TroughChangedMeanwhile as clash:
            show_again(self, version=clash.version)
            self.add_error(None, str(clash))
            return False
        return True


def vessel_rows() -> list[object]:
    """The vessel's size; a barrel's is its diameter and height."""
    return [beside("length_m", "width_m", "depth_m", "wall_kg")]


class HomeForm(TroughForm):
    """An attendee's own vessel, fire and hog; nothing of it is kept."""

    live_kg = SiField(quantity=WEIGHT, low=20, high=350, label="Live weight of the hog")
    coat = forms.ChoiceField(choices=Coat.choices, label="Its coat")
    altitude_m = SiField(quantity=ALTITUDE, low=-400, high=5000, label="Height above the sea")

    def __init__(self, data: Data = None, *, workshop: Workshop) -> None:
        # A workshop of one: the rows are never saved, they only carry the numbers to the plan.
        self.home = Workshop(units=workshop.units, altitude_m=workshop.altitude_m)
        trough = troughing.usual(Station(workshop=self.home, name="Vessel"))
        super().__init__(data, trough=trough)
        self.initial["live_kg"] = 120.2  # 265 lb
        self.initial["coat"] = Coat.ORDINARY
        self.initial["altitude_m"] = workshop.altitude_m

    def parts(self) -> list[object]:
        """The hog first; then as at the course."""
        return [group("Hog", beside("live_kg", "coat", "altitude_m")), *super().parts()]

    @property
    def hog(self) -> Animal:
        """The one hog, never saved."""
        typed = self.cleaned_data
        self.home.altitude_m = round(typed["altitude_m"])
        return Animal(
            workshop=self.home, tag="of yours", live_kg=typed["live_kg"], coat=typed["coat"]
        )
