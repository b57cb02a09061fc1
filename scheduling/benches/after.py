"""After the kill: agreement of series and grid, the odds of a night, and the division of shares."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable, Sequence
from typing import TypeVar

from scheduling.benches import Write
from scheduling.planner.check_shares import check_shares
from scheduling.planner.shares import divide
from scheduling.planner.shares_problem import Owner, Package, SharesProblem, Wish
from stations.trade.chill_probes import probed_forecast
from stations.trade.chilling import CHILLED_C, Ham, HourlyAir, chill_curve
from stations.trade.cold_night import night_odds
from stations.trade.conduction_grid import grid_centre_c
from stations.trade.course_recipes import COURSE_RECIPES
from stations.trade.foods import Allergen, Eater, Kind
from stations.trade.menu import plan_menu
from stations.trade.temperature_log import log_of

HOUR_S = 3600.0
NIGHT = HourlyAir(points=((0.0, 5.0), (10 * HOUR_S, -2.0), (20 * HOUR_S, 6.0), (36 * HOUR_S, -1.0)))
# An invented hog: kind to the mean grams of a package, by common practice.
KINDS_G = {
    "chops": 700,
    "ham": 3000,
    "belly": 1500,
    "ribs": 1200,
    "roast": 2200,
    "sausage": 500,
    "liver": 600,
    "lard": 900,
    "hocks": 800,
}
SIZES = ((24, 3), (60, 4), (90, 6), (150, 8))

T = TypeVar("T")


def run(write: Write, words: Sequence[str]) -> None:
    """All three, or those named: ``chill``, ``menu``, ``shares``."""
    write(f"After the kill, on {os.cpu_count()} cores.")
    for name, bench in (("chill", _chill), ("menu", _menu), ("shares", _shares)):
        if not words or name in words:
            bench(write)


def _timed(act: Callable[[], T]) -> tuple[T, float]:
    start = time.perf_counter()
    found = act()
    return found, time.perf_counter() - start


def _chill(write: Write) -> None:
    ham = Ham(carcass_kg=90.0)
    curve, series_s = _timed(lambda: chill_curve(ham, NIGHT))
    temps, grid_s = _timed(
        lambda: grid_centre_c(ham.body, NIGHT.at, start_c=ham.start_c, seconds=NIGHT.until_s)
    )
    apart = max(abs(t - curve.centre_at(60.0 * n)) for n, t in enumerate(temps) if n >= 60)
    reached = curve.reaches_s()
    grid_at = next(n for n, t in enumerate(temps) if t <= CHILLED_C) * 60.0
    write(
        f"Ham of a 90 kg carcass, air that turns with the night, 36 h: series {series_s * 1e3:.1f} "
        f"ms, grid {grid_s * 1e3:.0f} ms; at most {apart:.3f} K apart after the first hour."
    )
    if reached is not None:
        off = abs(grid_at - reached) / reached
        write(f"Time to 40 F: {reached / HOUR_S:.2f} h, the grid {off:.2%} away.")
    log = log_of((6 * HOUR_S, curve.centre_at(6 * HOUR_S) + 1.0))
    _, probed_s = _timed(lambda: probed_forecast(ham, NIGHT, log))
    odds, odds_s = _timed(lambda: night_odds(ham, NIGHT))
    write(f"A probe reading taken in: {probed_s * 1e3:.0f} ms.")
    write(f"Odds of the night from {odds.runs} runs: {odds_s * 1e3:.0f} ms. {odds.sentence}")


def _menu(write: Write) -> None:
    draw = random.Random(1)  # noqa: S311  an invented table of guests, nothing secret
    people = [
        Eater(
            id=f"guest {n}",
            allergens=frozenset(draw.sample(list(Allergen), draw.choice((0, 0, 0, 1)))),
            avoids=frozenset({Kind.MEAT} if draw.random() < 0.1 else ()),
        )
        for n in range(24)
    ]
    meals, seconds = _timed(lambda: plan_menu(9, people, COURSE_RECIPES))
    most = max(len(meal.dishes) for meal in meals)
    unfed = sum(len(meal.unfed) for meal in meals)
    write(
        f"Nine meals for 24 from {len(COURSE_RECIPES)} dishes: {seconds * 1e3:.0f} ms, at most "
        f"{most} dishes a meal, {unfed} left without one."
    )


def _shares(write: Write) -> None:
    for packages, owners in SIZES:
        answer = divide(_invented(packages, owners), seconds=20.0)
        broken = len(check_shares(answer.problem, answer.division))
        goals = "; ".join(
            f"{goal.name} {goal.value} of at most {goal.bound} ({goal.sentence()})"
            for goal in answer.goals
        )
        write(
            f"{packages} packages among {owners}: {answer.status.value} in {answer.seconds:.1f} s, "
            f"{broken} rules broken; {goals}"
        )


def _invented(packages: int, owners: int) -> SharesProblem:
    """Packages of every kind in turn, owners of one or two parts who wish for five kinds."""
    draw = random.Random(3)  # noqa: S311  invented packages, nothing secret
    kinds = list(KINDS_G)
    wishes = [wish for wish in Wish if wish is not Wish.NEVER]
    return SharesProblem(
        packages=tuple(
            Package(
                id=f"p{n}",
                kind=kinds[n % len(kinds)],
                grams=int(KINDS_G[kinds[n % len(kinds)]] * draw.uniform(0.8, 1.2)),
            )
            for n in range(packages)
        ),
        owners=tuple(
            Owner(
                id=f"o{n}",
                name=f"Household {n}",
                parts=draw.choice((1, 1, 2)),
                wishes={kind: draw.choice(wishes) for kind in draw.sample(kinds, 5)},
            )
            for n in range(owners)
        ),
    )
