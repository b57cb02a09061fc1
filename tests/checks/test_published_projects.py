"""Published project-scheduling instances through the timetable planner, where they are at hand.

The instances are their authors' and not part of this project: R. Kolisch and A. Sprecher, "PSPLIB -
a project scheduling problem library", European Journal of Operational Research 96 (1997) 205-216
(sets j30, j60), and C. Schwindt's ProGen/max sets (1998; sets J20, UBO10, UBO20) with least and
longest lags. The best known values come with them in ``known.csv``. ``manage.py bench timetable
--published`` runs them all.
"""

from pathlib import Path

import pytest
from django.conf import settings

from scheduling.benches.published import as_timetable, by_planner, read_instance, read_known

SUBSET = {
    "rcpsp-j30": 8,
    "rcpsp-j60": 3,
    "rcpspmax-ubo10": 4,
    "rcpspmax-j20": 3,
    "rcpspmax-ubo20": 3,
}


@pytest.fixture(scope="module")
def folder() -> Path:
    found = Path(settings.BENCHMARKS)
    if not settings.BENCHMARKS or not found.is_dir():
        pytest.skip("GAMBREL_BENCHMARKS names no folder of published instances.")
    return found


@pytest.mark.parametrize("name", SUBSET)
def test_published_instances_reach_the_best_known_makespan_or_the_proof_of_none(folder, name):
    for file, known in list(read_known(folder / name).items())[: SUBSET[name]]:
        outcome = by_planner(read_instance(folder / name / file), seconds=60, workers=1)
        assert outcome.reaches(known), file
        if known.proved:
            assert outcome.proved, file
            assert outcome.makespan == known.best, file


SMALL = """\
3\t1\t0\t0
0\t1\t2\t1\t2\t[0]\t[3]
1\t1\t2\t3\t4\t[5]\t[2]
2\t1\t2\t4\t1\t[4]\t[-6]
3\t1\t1\t4\t[2]
4\t1\t0
0\t1\t0\t0
1\t1\t2\t1
2\t1\t4\t1
3\t1\t2\t2
4\t1\t0\t0
2
"""


def test_a_file_with_lags_is_read_as_it_is_written(tmp_path):
    # Activity 2 not before 3; 3 at least 5 after 1 starts; 1 at least 2 - 8 = -6 after 2 starts,
    # that is 2 at most 6 after 1. One runs 0 to 2, two 3 to 7, and three (both units) from 7: 9.
    path = tmp_path / "small.sch"
    path.write_text(SMALL)
    instance = read_instance(path)
    assert instance.minutes == (2, 4, 2)
    assert instance.earliest == (0, 3, 0)
    assert instance.lags == ((0, 2, 5), (1, 0, -6))
    outcome = by_planner(instance, seconds=10, workers=1)
    assert (outcome.makespan, outcome.proved) == (9, True)


def test_what_cannot_be_read_says_so(tmp_path):
    path = tmp_path / "small.txt"
    path.write_text("")
    with pytest.raises(ValueError, match=r"ends in \.sm or \.sch"):
        read_instance(path)
    long = tmp_path / "long.sch"
    long.write_text(SMALL.replace("1\t1\t2\t1\n", "1\t1\t2000\t1\n").replace("[2]\n2", "[2000]\n2"))
    with pytest.raises(ValueError, match="may last"):
        as_timetable(read_instance(long))
