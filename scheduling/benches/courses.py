"""Invented kill days of any size, for figures: what the demo's day asks, without a database."""

from __future__ import annotations

from scheduling.planner.problem import (
    Gap,
    Need,
    Pool,
    StationSpec,
    StepSpec,
    TimetableProblem,
    Window,
)

# Stage, station, expected minutes, hands from everyone, from the staff, heavy hands: the demo's
# own planning times (common practice, no source).
STAGES = (
    ("kill", "pen", 10, 4, 2, 0),
    ("bleed", "pen", 6, 2, 1, 0),
    ("rinse", "pen", 10, 3, 0, 0),
    ("scald", "trough", 12, 9, 1, 4),
    ("scrape", "bench", 60, 4, 0, 0),
    ("hang", "hoist", 10, 3, 1, 2),
    ("eviscerate", "hoist", 30, 3, 1, 0),
    ("split", "hoist", 20, 3, 0, 0),
)
LONGEST_GAPS = (0, 15, 30, 5, 30, 30, 60)  # between one stage and the next, minutes


def kill_day(
    hogs: int, *, troughs: int = 1, attendees: int = 14, wide: bool = False
) -> TimetableProblem:
    """``hogs`` hogs from kill to split: set-ups, pools with rest, longest gaps, two breaks.

    ``troughs`` of 30 min re-heat each. The day lasts from 07:00 to 24:00, or with ``wide`` from
    midnight to midnight and without breaks, so that no window helps the solver.
    """
    day = Window(start=0 if wide else 420, end=1439)
    names = [f"trough {number + 1}" for number in range(troughs)]
    steps = [
        StepSpec(
            id=f"hog{hog}:{stage}",
            name=f"{stage.capitalize()}, hog {hog}",
            station=names[0] if station == "trough" else station,
            or_at=tuple(names[1:]) if station == "trough" else (),
            expected_min=minutes,
            windows=(day,),
            needs=tuple(
                Need(pool=pool, amount=amount, rest_min=30 if pool == "chains" else 0)
                for pool, amount in (("people", hands), ("staff", staff), ("chains", heavy))
                if amount
            ),
            subject=f"hog {hog}",
        )
        for hog in range(1, hogs + 1)
        for stage, station, minutes, hands, staff, heavy in STAGES
    ]
    gaps = [
        Gap(before=f"hog{hog}:{first[0]}", after=f"hog{hog}:{second[0]}", most_min=most)
        for hog in range(1, hogs + 1)
        for first, second, most in zip(STAGES, STAGES[1:], LONGEST_GAPS, strict=False)
    ]
    gaps += [
        Gap(before=f"hog{hog}:kill", after=f"hog{hog + 1}:kill", carcass_waits=False)
        for hog in range(1, hogs)
    ]
    return TimetableProblem(
        stations=(
            StationSpec(id="pen", name="Pen"),
            *(StationSpec(id=name, name=name.capitalize(), set_up_min=30) for name in names),
            StationSpec(id="bench", name="Scraping bench", capacity=2),
            StationSpec(id="hoist", name="Hoist", capacity=2),
        ),
        pools=(
            Pool(id="people", name="people", capacity=attendees + 3),
            Pool(id="staff", name="staff", capacity=3),
            Pool(id="chains", name="people fit for the chains", capacity=8),
        ),
        steps=tuple(steps),
        gaps=tuple(gaps),
        breaks=() if wide else (Window(start=645, end=660), Window(start=795, end=840)),
    )
