"""Cures in a pickle: pumped, or immersed by pick-up or to equilibrium.

The pickle's weight is all of it: water, salt, sugar and the cure itself. Pump and pick-up are
fractions of the green weight.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from stations.trade.brine import salometer_degrees
from stations.trade.cure_limits import Cured
from stations.trade.cures import Cure, fraction
from stations.trade.curing import Batch, ingoing_ppm, refuse_outside
from stations.trade.errors import OutOfRange, within
from stations.trade.findings import Finding, Rule, Sense
from stations.trade.sources import Source, Trust

HANDBOOK_PUMPED = Source(title="FSIS 7620.3", place="page 19, by quotation", trust=Trust.PUBLISHED)
HANDBOOK_IMMERSED = Source(
    title="FSIS 7620.3",
    place="pages 21 and 22, methods one and two, by quotation",
    trust=Trust.PUBLISHED,
)
LEAST_TAKEN, MOST_TAKEN = 0.01, 0.6  # a judgement
PUMPED = {Cured.PUMPED_CUT, Cured.PUMPED_BACON}
IMMERSED = {Cured.IMMERSED_CUT, Cured.IMMERSED_BACON}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pickle:
    """What is in the crock, kg: water 0.1 to 2000, the others 0 to 1000.

    >>> from stations.trade.cures import CURE_1_WEAK
    >>> p = Pickle(water_kg=1.0, salt_kg=0.110, sugar_kg=0.124, cure=CURE_1_WEAK, cure_kg=0.032)
    >>> round(p.total_kg, 3), round(100 * p.salt_share, 2), round(p.degrees)
    (1.266, 11.07, 47)
    """

    water_kg: float
    salt_kg: float = 0.0
    sugar_kg: float = 0.0
    other_kg: float = 0.0
    cure: Cure
    cure_kg: float = 0.0

    def __post_init__(self) -> None:
        within("water", self.water_kg, low=0.1, high=2000.0, unit="kg", rule="pickle")
        for quantity, kg in (
            ("salt", self.salt_kg),
            ("sugar", self.sugar_kg),
            ("spice and other", self.other_kg),
            ("cure", self.cure_kg),
        ):
            within(quantity, kg, low=0.0, high=1000.0, unit="kg", rule="pickle")

    @property
    def total_kg(self) -> float:
        """All of it."""
        return self.water_kg + self.salt_kg + self.sugar_kg + self.other_kg + self.cure_kg

    @property
    def all_salt_kg(self) -> float:
        """Plain salt and the cure's own."""
        return self.salt_kg + self.cure_kg * self.cure.salt_share

    @property
    def salt_share(self) -> float:
        """Salt over the whole pickle."""
        return self.all_salt_kg / self.total_kg

    @property
    def degrees(self) -> float:
        """Salometer degrees from salt over salt and water; sugar would lift an instrument."""
        return salometer_degrees(self.all_salt_kg / (self.all_salt_kg + self.water_kg))

    @property
    def nitrite_kg(self) -> float:
        """Nitrite itself."""
        return self.cure_kg * self.cure.nitrite

    @property
    def nitrate_kg(self) -> float:
        """Nitrate itself."""
        return self.cure_kg * self.cure.nitrate


@dataclass(frozen=True, slots=True, kw_only=True)
class PicklePlan:
    """The pickle with its cure, and what goes into the meat by it."""

    batch: Batch
    pickle: Pickle
    taken: float
    nitrite_ppm: float
    nitrate_ppm: float
    findings: tuple[Finding, ...]


def taken_ppm(substance_kg: float, *, pickle_kg: float, taken: float) -> float:
    """Pumped, or immersed by pick-up (method one): substance x fraction x 1e6 / pickle.

    Args:
        substance_kg: nitrite or nitrate itself in the pickle, 0 to 100 kg.
        pickle_kg: all of the pickle, 0.1 to 4000 kg.
        taken: pump or pick-up as a fraction of the green weight, 0.01 to 0.6.

    Returns: ppm on the green weight.

    Raises: PercentForFraction or OutOfRange.

    >>> round(taken_ppm(50 * 0.0075, pickle_kg=462.1875, taken=0.20), 2)
    162.27

    Source: ``HANDBOOK_PUMPED``, ``HANDBOOK_IMMERSED``.
    """
    within("pickle", pickle_kg, low=0.1, high=4000.0, unit="kg", rule="pickle")
    fraction("pump or pick-up", taken, low=LEAST_TAKEN, high=MOST_TAKEN, rule="pickle")
    return ingoing_ppm(substance_kg * taken, green_kg=pickle_kg)


def equilibrium_ppm(substance_kg: float, *, meat_kg: float, pickle_kg: float) -> float:
    """Immersed until even (method two): substance x 1e6 / (meat + pickle).

    Args:
        substance_kg: nitrite or nitrate itself in the pickle, 0 to 100 kg.
        meat_kg: 0.01 to 2000 kg.
        pickle_kg: 0.1 to 4000 kg, all of it.

    Returns: ppm.

    Raises: OutOfRange.

    >>> round(equilibrium_ppm(0.0059565, meat_kg=8.0, pickle_kg=31.71), 1)
    150.0

    Source: ``HANDBOOK_IMMERSED``, page 22.
    """
    within("meat", meat_kg, low=0.01, high=2000.0, unit="kg", rule="pickle")
    within("pickle", pickle_kg, low=0.1, high=4000.0, unit="kg", rule="pickle")
    within("substance", substance_kg, low=0.0, high=100.0, unit="kg", rule="cure")
    return round(substance_kg * 1e6 / (meat_kg + pickle_kg), 6)


def judged_taken(batch: Batch, pickle: Pickle, *, taken: float) -> PicklePlan:
    """What a mixed pickle brings in by pump or pick-up: recorded and judged, not refused.

    Args:
        batch: pumped or immersed product.
        pickle: as mixed.
        taken: fraction of the green weight, 0.01 to 0.6.

    Returns: the plan as it stands.

    Raises: PercentForFraction or OutOfRange; ValueError for a product that is not pickled.

    >>> from stations.trade.cures import CURE_1_WEAK
    >>> mixed = Pickle(
    ...     water_kg=1.0, salt_kg=0.110, sugar_kg=0.124, cure=CURE_1_WEAK, cure_kg=0.032)
    >>> ham = Batch(product=Cured.PUMPED_CUT, weighed_kg=8.0, cure=CURE_1_WEAK)
    >>> round(judged_taken(ham, mixed, taken=0.10).nitrite_ppm, 2)
    148.63

    Source: ``HANDBOOK_PUMPED``, ``HANDBOOK_IMMERSED``.
    """
    _pickled(batch)
    nitrite, nitrate = (
        taken_ppm(kg, pickle_kg=pickle.total_kg, taken=taken)
        for kg in (pickle.nitrite_kg, pickle.nitrate_kg)
    )
    return _plan(batch, pickle, taken=taken, ppm=(nitrite, nitrate))


def judged_even(batch: Batch, pickle: Pickle) -> PicklePlan:
    """What a pickle brings in by equilibrium: recorded and judged, not refused.

    ``taken`` is what comes to rest in the meat, pickle over meat and pickle. Raises as
    :func:`judged_taken`.

    >>> from stations.trade.cures import CURE_1
    >>> crock = Pickle(water_kg=4.0, salt_kg=0.4, cure=CURE_1, cure_kg=0.02)
    >>> meat = Batch(product=Cured.IMMERSED_CUT, weighed_kg=4.0, cure=CURE_1)
    >>> round(judged_even(meat, crock).nitrite_ppm, 1)
    148.5

    Source: ``HANDBOOK_IMMERSED``, page 22.
    """
    _pickled(batch)
    nitrite, nitrate = (
        equilibrium_ppm(kg, meat_kg=batch.green_kg, pickle_kg=pickle.total_kg)
        for kg in (pickle.nitrite_kg, pickle.nitrate_kg)
    )
    share = pickle.total_kg / (batch.green_kg + pickle.total_kg)
    return _plan(batch, pickle, taken=share, ppm=(nitrite, nitrate))


def plan_taken(batch: Batch, base: Pickle, *, nitrite_ppm: float, taken: float) -> PicklePlan:
    """Cure to stir into a pickle so that pump or pick-up brings the wanted nitrite.

    The cure adds to the pickle's weight: cure = ppm x base / (strength x taken x 1e6 - ppm).

    Args:
        batch: pumped or immersed product.
        base: the pickle without cure.
        nitrite_ppm: wanted on the green weight, 0 to 1000.
        taken: fraction of the green weight, 0.01 to 0.6.

    Returns: the plan.

    Raises: OutsideRule above a limit; PercentForFraction or OutOfRange; ValueError for a product
        that is not pickled.

    >>> from stations.trade.cures import CURE_1
    >>> belly = Batch(product=Cured.PUMPED_BACON, weighed_kg=5.0, cure=CURE_1)
    >>> plan = plan_taken(
    ...     belly, Pickle(water_kg=2.0, salt_kg=0.3, cure=CURE_1), nitrite_ppm=120.0, taken=0.1)
    >>> round(1000 * plan.pickle.cure_kg, 1), plan.findings[0].standing.value
    (45.0, 'within')

    Source: ``HANDBOOK_PUMPED``, turned round.
    """
    within("nitrite", nitrite_ppm, low=0.0, high=1000.0, unit="ppm", rule="cure")
    fraction("pump or pick-up", taken, low=LEAST_TAKEN, high=MOST_TAKEN, rule="pickle")
    reach = batch.cure.nitrite * taken * 1e6
    plan = judged_taken(batch, _with_cure(batch, base, nitrite_ppm, reach), taken=taken)
    refuse_outside(plan.findings)
    return plan


def plan_even(batch: Batch, base: Pickle, *, nitrite_ppm: float) -> PicklePlan:
    """Cure to stir into a pickle so that meat and pickle come even at the wanted nitrite.

    cure = ppm x (meat + base) / (strength x 1e6 - ppm).

    Args:
        batch: pumped or immersed product.
        base: the pickle without cure.
        nitrite_ppm: wanted, 0 to 1000.

    Returns: the plan.

    Raises: as :func:`plan_taken`.

    >>> from stations.trade.cures import CURE_1
    >>> meat = Batch(product=Cured.IMMERSED_CUT, weighed_kg=8.0, cure=CURE_1)
    >>> plan = plan_even(meat, Pickle(water_kg=20.0, salt_kg=2.0, cure=CURE_1), nitrite_ppm=150.0)
    >>> round(plan.nitrite_ppm, 3), round(1000 * plan.pickle.cure_kg, 1)
    (150.0, 72.2)

    Source: ``HANDBOOK_IMMERSED``, page 22, turned round.
    """
    within("nitrite", nitrite_ppm, low=0.0, high=1000.0, unit="ppm", rule="cure")
    reach = batch.cure.nitrite * 1e6
    mixed = _with_cure(batch, base, nitrite_ppm, reach, meat_kg=batch.green_kg)
    plan = judged_even(batch, mixed)
    refuse_outside(plan.findings)
    return plan


def _with_cure(
    batch: Batch, base: Pickle, ppm: float, reach: float, *, meat_kg: float = 0.0
) -> Pickle:
    """The base with the cure that makes ``ppm``; a pickle of nothing but cure gives ``reach``."""
    if base.cure_kg != 0.0:
        raise OutOfRange(
            "cure in the base", got=base.cure_kg, low=0.0, high=0.0, unit="kg", rule="pickle plan"
        )
    most = 0.9 * reach  # above it the crock would be all cure
    within("nitrite", ppm, low=0.0, high=most, unit="ppm", rule="this cure and pick-up")
    cure_kg = ppm * (base.total_kg + meat_kg) / (reach - ppm)
    return replace(base, cure=batch.cure, cure_kg=cure_kg)


def _plan(batch: Batch, pickle: Pickle, *, taken: float, ppm: tuple[float, float]) -> PicklePlan:
    return PicklePlan(
        batch=batch,
        pickle=pickle,
        taken=taken,
        nitrite_ppm=ppm[0],
        nitrate_ppm=ppm[1],
        findings=batch.findings(nitrite_ppm=ppm[0], nitrate_ppm=ppm[1]),
    )


def _pickled(batch: Batch) -> None:
    if batch.product not in PUMPED | IMMERSED:
        message = f"{batch.product.words} takes no pickle; plan it dry instead."
        raise ValueError(message)


def pick_up(*, green_kg: float, after_kg: float) -> float:
    """What the meat took up, (after - green) / green; a loss is negative.

    Args:
        green_kg: 0.01 to 2000 kg before.
        after_kg: 0.5 to 2 times as much after.

    Returns: fraction.

    Raises: OutOfRange.

    >>> round(pick_up(green_kg=8.0, after_kg=8.84), 3)
    0.105

    Source: arithmetic.
    """
    within("green weight", green_kg, low=0.01, high=2000.0, unit="kg", rule="pick-up")
    low, high = 0.5 * green_kg, 2 * green_kg
    within("weight after", after_kg, low=low, high=high, unit="kg", rule="pick-up")
    return (after_kg - green_kg) / green_kg


def pick_up_finding(plan: PicklePlan, *, after_kg: float) -> Finding:
    """Weighed pick-up against the planned one: more pickle in the meat is more nitrite.

    Args:
        plan: pumped, or immersed by pick-up.
        after_kg: 0.5 to 2 times the green weight.

    Returns: the finding, in per cent.

    Raises: OutOfRange.

    >>> from stations.trade.cures import CURE_1
    >>> ham = Batch(product=Cured.PUMPED_CUT, weighed_kg=8.0, cure=CURE_1)
    >>> plan = plan_taken(
    ...     ham, Pickle(water_kg=2.0, salt_kg=0.3, cure=CURE_1), nitrite_ppm=150.0, taken=0.1)
    >>> pick_up_finding(plan, after_kg=9.0).standing.value
    'outside'

    Source: ``HANDBOOK_PUMPED``; what to do is common practice.
    """
    rule = Rule(
        name="pick-up",
        limit=100 * plan.taken,
        sense=Sense.AT_MOST,
        unit="%",
        source=HANDBOOK_PUMPED,
        remedy="Let it drain and weigh again; reckon the nitrite with this pick-up",
    )
    return rule.held_against(
        round(100 * pick_up(green_kg=plan.batch.weighed_kg, after_kg=after_kg), 9)
    )
