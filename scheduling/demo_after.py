"""The demo course after the kill: its hogs chilled, weighed, cut, a ham cured, a pot cooked.

Every number is invented. Rows are written by the same verbs as on the farm, at the course's own
hours, with ids made from their names: a second run finds them and changes nothing.
"""

from __future__ import annotations

from datetime import datetime, time, timedelta
from uuid import NAMESPACE_URL, uuid5

from stations import curing_batches, hanging, recording
from stations.curing_batches import Begun, Wanted
from stations.dipping import Act, Hand
from stations.hanging import Hanging
from stations.models import (
    Becomes,
    CarcassPart,
    ChillMethod,
    CureAct,
    CuredProduct,
    CutTableName,
    DressedAs,
    FoodMark,
    FoodRule,
    ProbedPart,
    TimesBy,
    WeighStage,
)
from stations.recording import WHOLE, Batch, Shown, Weight
from stations.trade.measures import celsius
from workshops.models import Animal, StaffRole, User, Workshop

HOT_SHARE, COLD_SHARE = 0.77, 0.98
# Hours after the kill and degF in the middle of the ham; the first hog of the day, then the last.
READINGS = (
    ((1.5, 103.0), (6.0, 76.0), (12.0, 53.5), (19.0, 39.5)),
    ((1.5, 103.5), (6.0, 80.0), (12.0, 59.0), (21.0, 40.0)),
    ((1.5, 104.0), (6.0, 83.0), (12.0, 63.0), (22.5, 40.0)),
)
# Minutes after the pot went on the heat and degF in the warmest place of what cools.
COOLING = ((70, 158.0), (100, 133.0), (190, 68.0), (270, 47.0), (400, 41.0))
# Shares of the cold carcass, as they came off the table.
CUTS = {
    CarcassPart.HAM: 0.20,
    CarcassPart.LOIN: 0.17,
    CarcassPart.BELLY: 0.15,
    CarcassPart.SPARERIBS: 0.03,
    CarcassPart.SHOULDER: 0.19,
    CarcassPart.BACK_FAT: 0.11,
    CarcassPart.JOWL: 0.03,
    CarcassPart.FEET: 0.04,
}


def carry_on(workshop: Workshop) -> None:
    """From the kill to the pot, by the lead's hand; running it again changes nothing."""
    lead = workshop.staff.select_related("user").filter(role=StaffRole.LEAD).first()
    days = list(workshop.days.all())
    hogs = list(workshop.animals.exclude(status__in=("raised", "held_back")))
    if len(days) < 2 or not hogs:
        return
    writer = _Writer(workshop, lead.user if lead else None)
    for number, hog in enumerate(hogs):
        killed_at = days[0].at(time(8)) + timedelta(minutes=100 * number)
        writer.chill(hog, killed_at, READINGS[min(number, len(READINGS) - 1)])
        writer.weigh(hog, hot_at=killed_at + timedelta(hours=2), cold_at=days[1].at(time(8, 30)))
    writer.cut(hogs[0], days[1].at(time(10)))
    writer.cure(hogs[0], days[1].at(time(14)))
    writer.cook(days[1].at(time(17)))


class _Writer:
    """Whose hand it is, and the verbs with ids that are the same at each run."""

    def __init__(self, workshop: Workshop, by: User | None) -> None:
        self.workshop, self.by = workshop, by

    def act(self, what: str, at: datetime) -> Act:
        client_id = uuid5(NAMESPACE_URL, f"gambrel-demo/{self.workshop.slug}/{what}")
        return Act(by=Hand(user=self.by), client_id=client_id, now=at)

    def chill(
        self, hog: Animal, killed_at: datetime, readings: tuple[tuple[float, float], ...]
    ) -> None:
        if not hasattr(hog, "chill_plan"):
            air = ((0.0, celsius(fahrenheit=34.0)), (40.0, celsius(fahrenheit=33.0)))
            hung_at = killed_at + timedelta(minutes=100)
            hanging.hang(
                hog,
                Hanging(
                    killed_at=killed_at, hung_at=hung_at, method=ChillMethod.STILL_AIR, air=air
                ),
            )
        for hours, degrees_f in readings:
            act = self.act(f"{hog.tag}/chill/{hours}", killed_at + timedelta(hours=hours))
            shown = Shown(read_c=celsius(fahrenheit=degrees_f))
            recording.read_chill(hog, shown, act, part=ProbedPart.HAM)

    def weigh(self, hog: Animal, *, hot_at: datetime, cold_at: datetime) -> None:
        hot_kg = round(float(hog.live_kg) * HOT_SHARE, 1)
        for stage, kg, at in (
            (WeighStage.HOT, hot_kg, hot_at),
            (WeighStage.COLD, round(hot_kg * COLD_SHARE, 1), cold_at),
        ):
            weight = Weight(stage=stage, part=WHOLE, kg=kg, dressed=DressedAs.HEAD_AND_SKIN_ON)
            recording.weigh(hog, weight, self.act(f"{hog.tag}/{stage}", at))
        liver = Weight(
            stage=WeighStage.DRESSING_ASIDE, part="liver", kg=round(0.0125 * float(hog.live_kg), 2)
        )
        recording.weigh(hog, liver, self.act(f"{hog.tag}/liver", hot_at))

    def cut(self, hog: Animal, at: datetime) -> None:
        cold_kg = round(round(float(hog.live_kg) * HOT_SHARE, 1) * COLD_SHARE, 1)
        if not hasattr(hog, "cut_plan"):
            becomes = dict.fromkeys((part.value for part in CUTS), Becomes.FRESH)
            becomes |= {"ham": Becomes.CURE, "belly": Becomes.CURE, "shoulder": Becomes.SAUSAGE}
            becomes["back_fat"] = Becomes.LARD
            hanging.plan_cuts(hog, CutTableName.FARM_CUTS, becomes)
        for number, (part, share) in enumerate(CUTS.items()):
            weight = Weight(stage=WeighStage.CUT, part=part, kg=round(cold_kg * share, 2))
            act = self.act(f"{hog.tag}/cut/{part}", at + timedelta(minutes=5 * number))
            recording.weigh(hog, weight, act)
        bones = Weight(
            stage=WeighStage.CUTTING_ASIDE, part="bones and scraps", kg=round(cold_kg * 0.065, 2)
        )
        recording.weigh(hog, bones, self.act(f"{hog.tag}/bones", at + timedelta(hours=1)))

    def cure(self, hog: Animal, at: datetime) -> None:
        ham_kg = 7.1
        wanted = Wanted(
            product=CuredProduct.DRY_CUT,
            weighed_kg=ham_kg,
            heaviest_kg=ham_kg,
            cure_name="cure no. 1",
            nitrite=0.0625,
            nitrate=0.0,
            ppm=150.0,
            salt=0.03,
            sugar=0.01,
            times_by=TimesBy.METHOD_4,
            skin_on=True,
        )
        begun = Begun(
            name=f"Left ham of hog {hog.tag}", started_on=at.astimezone(self.workshop.zone).date(),
            animal=hog,
        )  # fmt: skip
        worked = curing_batches.work_out(wanted)
        made = curing_batches.keep(self.workshop, worked, begun, self.act("cure", at))
        act = self.act("cure/weighed", at + timedelta(minutes=10))
        curing_batches.note(made, CureAct.WEIGHED, act, kg=0.0171)

    def cook(self, at: datetime) -> None:
        pot = Batch(name="Liver sausage, first pot", rule=FoodRule.COOK_MINCED)
        log = recording.open_log(self.workshop, pot, self.act("pot", at))
        for minutes, degrees_f in ((20, 112.0), (45, 149.0), (60, 161.5)):
            act = self.act(f"pot/{minutes}", at + timedelta(minutes=minutes))
            recording.read_food(log, Shown(read_c=celsius(fahrenheit=degrees_f)), act)
        act = self.act("pot/done", at + timedelta(minutes=65))
        recording.mark_food(log, FoodMark.DONE, act)
        cooled = Batch(name="Liver sausage, first pot, cooling", rule=FoodRule.COOL)
        log = recording.open_log(
            self.workshop, cooled, self.act("cool", at + timedelta(minutes=65))
        )
        for minutes, degrees_f in (
            (70, 158.0),
            (100, 133.0),
            (190, 68.0),
            (270, 47.0),
            (400, 41.0),
        ):
            act = self.act(f"cool/{minutes}", at + timedelta(minutes=minutes))
            recording.read_food(log, Shown(read_c=celsius(fahrenheit=degrees_f)), act)
        recording.mark_food(log, FoodMark.DONE, self.act("cool/done", at + timedelta(minutes=405)))
