"""The open vessel as a heat balance: heat up, coast down, pour in hot water, book every joule.

    (m c + C_wall) dT/dt = fire - hog - dry losses - W h_fg        dm/dt = -W

Temperature and mass go forward by the classical fourth-order Runge-Kutta step, and every joule is
booked, so that what came in, went out and stayed can be compared.
"""

from __future__ import annotations

from dataclasses import dataclass

from stations.trade.errors import OutOfRange, within
from stations.trade.fuels import Fire, fuel_kg
from stations.trade.losses import Exposure, LossCurve, loss_curve
from stations.trade.roots import root
from stations.trade.vessels import Vessel
from stations.trade.water import enthalpy_j_kg

_LONGEST_S = 24 * 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Bath:
    """The water now, and the heat booked so far (J): added, gone by dry losses, gone with vapour.

    ``added_j`` is fire less hog; ``vapour_j`` is the whole enthalpy that left with the vapour.
    """

    water_c: float
    water_kg: float
    added_j: float = 0.0
    dry_j: float = 0.0
    vapour_j: float = 0.0


def stored_j(bath: Bath, *, wall_j_k: float) -> float:
    """Heat held in the water and the wall above 0 degC, m h(T) + C T, in J.

    ``wall_j_k`` J/K, 0 or more. Raises OutOfRange for water outside 0.5 to 101 degC.

    >>> round(stored_j(Bath(water_c=60.0, water_kg=300.0), wall_j_k=0.0) / 1e6, 1)
    75.4

    Source: IAPWS-95 as CoolProp (published).
    """
    return bath.water_kg * enthalpy_j_kg(bath.water_c) + wall_j_k * bath.water_c


_Flow = tuple[float, float, float, float]


def _flow(T: float, m: float, power_w: float, curve: LossCurve, wall_j_k: float) -> _Flow:
    """dT/dt, vapour kg/s, dry W, vapour W."""
    dry, vapour, latent, enthalpy, heat = curve.row(T)
    return (
        (power_w - dry - latent) / (m * heat + wall_j_k),
        vapour,
        dry,
        vapour * enthalpy + latent,
    )


def advance(
    bath: Bath, *, seconds: float, power_w: float, curve: LossCurve, wall_j_k: float
) -> Bath:
    """The bath one step later, by one fourth-order Runge-Kutta step.

    ``seconds`` 0 to 600 s, ``power_w`` heat in less heat taken (W, constant through the step),
    ``curve`` the losses, ``wall_j_k`` J/K. Raises OutOfRange when the water leaves the curve: it
    boils, or is below 0.5 degC.

    >>> from stations.trade.vessels import FARM_VAT
    >>> from stations.trade.water import Air
    >>> curve = loss_curve(FARM_VAT, Exposure(air=Air(temp_c=10.0, humidity=0.6, wind_m_s=2.0)))
    >>> bath = Bath(water_c=62.8, water_kg=300.0)
    >>> later = advance(bath, seconds=60.0, power_w=0.0, curve=curve, wall_j_k=20_000.0)
    >>> round(later.water_c, 2)
    62.28

    Source: heat balance (computed); Runge-Kutta in any text on numerical methods (published).
    """
    within("step", seconds, low=0.0, high=600.0, unit="s", rule="heat balance")
    T, m, h = bath.water_c, bath.water_kg, seconds
    a = _flow(T, m, power_w, curve, wall_j_k)
    b = _flow(T + h / 2 * a[0], m - h / 2 * a[1], power_w, curve, wall_j_k)
    c = _flow(T + h / 2 * b[0], m - h / 2 * b[1], power_w, curve, wall_j_k)
    d = _flow(T + h * c[0], m - h * c[1], power_w, curve, wall_j_k)
    sixth = h / 6
    return Bath(
        water_c=T + sixth * (a[0] + 2 * b[0] + 2 * c[0] + d[0]),
        water_kg=m - sixth * (a[1] + 2 * b[1] + 2 * c[1] + d[1]),
        added_j=bath.added_j + power_w * h,
        dry_j=bath.dry_j + sixth * (a[2] + 2 * b[2] + 2 * c[2] + d[2]),
        vapour_j=bath.vapour_j + sixth * (a[3] + 2 * b[3] + 2 * c[3] + d[3]),
    )


def pour(bath: Bath, *, water_kg: float, water_c: float, wall_j_k: float) -> Bath:
    """The bath after other water is stirred in: enthalpies add, m h + C T kept.

    ``water_kg`` 0 to 5000 kg at ``water_c`` 0.5 to 101 degC; otherwise raises OutOfRange.
    What is poured counts as added heat.

    >>> bath = Bath(water_c=60.0, water_kg=190.0)
    >>> round(pour(bath, water_kg=10.0, water_c=98.0, wall_j_k=0.0).water_c, 2)
    61.91

    Source: IAPWS-95 enthalpies (published), mixing (computed).
    """
    within("water poured", water_kg, low=0.0, high=5000.0, unit="kg", rule="mixing")
    brought = water_kg * enthalpy_j_kg(water_c)
    total = stored_j(bath, wall_j_k=wall_j_k) + brought
    mass = bath.water_kg + water_kg
    T = (bath.water_kg * bath.water_c + water_kg * water_c) / mass
    for _ in range(4):  # Newton: the enthalpy is so nearly straight that two rounds are enough
        T -= (mass * enthalpy_j_kg(T) + wall_j_k * T - total) / (mass * 4185.0 + wall_j_k)
    return Bath(
        water_c=T,
        water_kg=mass,
        added_j=bath.added_j + brought,
        dry_j=bath.dry_j,
        vapour_j=bath.vapour_j,
    )


def water_to_reach_kg(bath: Bath, *, wanted_c: float, poured_c: float, wall_j_k: float) -> float:
    """Hot (or cold) water that brings the bath to a temperature, in kg.

    m = [M (h(T2) - h(T1)) + C (T2 - T1)] / (h(Tp) - h(T2)). ``wanted_c`` must lie between the bath
    and ``poured_c``; otherwise raises OutOfRange.

    >>> bath = Bath(water_c=60.0, water_kg=190.0)
    >>> round(water_to_reach_kg(bath, wanted_c=62.0, poured_c=98.0, wall_j_k=0.0), 1)
    10.5

    Source: IAPWS-95 enthalpies (published), mixing (computed).
    """
    low, high = sorted((bath.water_c, poured_c))
    within("wanted temperature", wanted_c, low=low, high=high, unit="degC", rule="mixing")
    wanted = enthalpy_j_kg(wanted_c)
    if wanted_c == bath.water_c:
        return 0.0
    gap = enthalpy_j_kg(poured_c) - wanted
    if gap == 0.0:
        raise OutOfRange(
            "wanted temperature", got=wanted_c, low=low, high=high, unit="degC", rule="mixing"
        )
    rise = bath.water_kg * (wanted - enthalpy_j_kg(bath.water_c))
    return (rise + wall_j_k * (wanted_c - bath.water_c)) / gap


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatUp:
    """How long and how much: seconds, heat put in (J), fuel (kg), water boiled away (kg), curve."""

    seconds: float
    heat_j: float
    fuel_kg: float
    evaporated_kg: float
    end: Bath
    times_s: tuple[float, ...]
    temps_c: tuple[float, ...]


def hottest_c(vessel: Vessel, *, exposure: Exposure, power_w: float) -> float:
    """Where the losses eat all the fire gives, in degC (or the hottest the curve covers).

    ``power_w`` useful heat, 0 to 1e6 W. Raises OutOfRange if the fire cannot hold even cold water.

    >>> from stations.trade.vessels import FARM_VAT
    >>> from stations.trade.water import Air
    >>> windy = Exposure(air=Air(temp_c=10.0, humidity=0.6, wind_m_s=4.0))
    >>> round(hottest_c(FARM_VAT, exposure=windy, power_w=8_000.0))
    43

    Source: heat balance (computed).
    """
    within("fire", power_w, low=0.0, high=1e6, unit="W", rule="heat balance")
    curve = loss_curve(vessel, exposure)

    def spare(water_c: float) -> float:
        return power_w - curve.at(water_c).total_w

    if spare(curve.high) >= 0.0:
        return curve.high
    if spare(curve.low) <= 0.0:
        raise OutOfRange(
            "fire", got=power_w, low=curve.at(curve.low).total_w, high=1e6, unit="W",
            rule="heat balance",
        )  # fmt: skip
    return root(spare, curve.low, curve.high)


def heat_up(
    vessel: Vessel,
    *,
    water_kg: float,
    start_c: float,
    target_c: float,
    exposure: Exposure,
    fire: Fire,
) -> HeatUp:
    """Time, heat and fuel from one temperature to a hotter one against the losses.

    ``water_kg`` 1 to 5000 kg, ``start_c`` 0.5 degC or more, ``target_c`` from it up to where the
    losses eat the fire or the water boils; otherwise raises OutOfRange naming how far it reaches.

    >>> from stations.trade.fuels import Fuel, fire_of
    >>> from stations.trade.vessels import FARM_VAT
    >>> from stations.trade.water import Air
    >>> done = heat_up(FARM_VAT, water_kg=300.0, start_c=15.0, target_c=68.0,
    ...     exposure=Exposure(air=Air(temp_c=10.0, humidity=0.6)),
    ...     fire=fire_of(Fuel.PROPANE, rated_w=60_000.0))
    >>> round(done.seconds / 60), round(done.fuel_kg, 1)
    (52, 3.8)

    Source: heat balance (computed); heating values in ``fuels``.
    """
    within("water", water_kg, low=1.0, high=5000.0, unit="kg", rule="heat-up")
    curve = loss_curve(vessel, exposure)
    within(
        "start temperature", start_c, low=curve.low, high=curve.high, unit="degC", rule="heat-up"
    )
    most = max(start_c, hottest_c(vessel, exposure=exposure, power_w=fire.useful_w))
    rule = "what this fire reaches against these losses"
    within("target temperature", target_c, low=start_c, high=most, unit="degC", rule=rule)
    bath = Bath(water_c=start_c, water_kg=water_kg)
    times, temps = _climb(bath, target_c, fire.useful_w, curve, vessel.wall_j_k)
    return _summed(times, temps, fire)


def _climb(
    bath: Bath, target_c: float, power_w: float, curve: LossCurve, wall_j_k: float
) -> tuple[list[float], list[Bath]]:
    """Steps until the target, the last one cut to land on it."""
    step = _fitting_step(bath, target_c, power_w)
    times, baths = [0.0], [bath]
    while baths[-1].water_c < target_c:
        if times[-1] > _LONGEST_S:
            reached = baths[-1].water_c
            raise OutOfRange(
                "target temperature", got=target_c, low=bath.water_c, high=reached, unit="degC",
                rule="a day of this fire",
            )  # fmt: skip
        now = baths[-1]
        # No trial point may pass the curve's end: the step is what the fire alone would need.
        room_s = (curve.high - now.water_c) * now.water_kg * 4185.0 / max(power_w, 1.0)
        size = min(step, 0.9 * room_s)
        after = advance(now, seconds=size, power_w=power_w, curve=curve, wall_j_k=wall_j_k)
        for _ in range(3):  # secant: the last step is shortened to end at the target
            if after.water_c <= target_c + 1e-9:
                break
            size *= (target_c - now.water_c) / (after.water_c - now.water_c)
            after = advance(now, seconds=size, power_w=power_w, curve=curve, wall_j_k=wall_j_k)
        stuck = after.water_c - now.water_c < 1e-12
        times.append(times[-1] + size)
        baths.append(after)
        if stuck or target_c - after.water_c < 1e-7:
            break
    return times, baths


def _fitting_step(bath: Bath, target_c: float, power_w: float) -> float:
    """A step of a few hundredths of the climb, between 1 and 60 s."""
    at_best = bath.water_kg * 4185.0 * (target_c - bath.water_c) / max(power_w, 1.0)
    return min(60.0, max(1.0, at_best / 100))


def _summed(times: list[float], baths: list[Bath], fire: Fire) -> HeatUp:
    end = baths[-1]
    return HeatUp(
        seconds=times[-1],
        heat_j=end.added_j,
        fuel_kg=fuel_kg(fire.fuel, water_heat_j=end.added_j, efficiency=fire.efficiency),
        evaporated_kg=baths[0].water_kg - end.water_kg,
        end=end,
        times_s=tuple(times),
        temps_c=tuple(bath.water_c for bath in baths),
    )


def coast_down(
    vessel: Vessel, *, bath: Bath, exposure: Exposure, seconds: float, power_w: float = 0.0
) -> Bath:
    """The bath after a time with no hog in it, fire out (or at ``power_w`` of useful heat).

    ``seconds`` 0 to 86400 s; otherwise, or if the water leaves the curve, raises OutOfRange.

    >>> from stations.trade.vessels import FARM_VAT
    >>> from stations.trade.water import Air
    >>> calm = Exposure(air=Air(temp_c=10.0, humidity=0.6))
    >>> bath = Bath(water_c=62.8, water_kg=300.0)
    >>> from stations.trade.losses import Lid
    >>> lid = Exposure(air=calm.air, lid=Lid())
    >>> [round(coast_down(FARM_VAT, bath=bath, exposure=how, seconds=1800.0).water_c, 1)
    ...  for how in (calm, lid)]
    [56.6, 59.9]

    Source: heat balance (computed).
    """
    within("time", seconds, low=0.0, high=_LONGEST_S, unit="s", rule="coast-down")
    curve = loss_curve(vessel, exposure)
    steps = max(1, round(seconds / 20.0))
    for _ in range(steps):
        bath = advance(
            bath, seconds=seconds / steps, power_w=power_w, curve=curve, wall_j_k=vessel.wall_j_k
        )
    return bath
