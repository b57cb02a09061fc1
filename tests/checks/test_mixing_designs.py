"""The mixing goal against combinatorial designs with published answers.

Each is a schedule of crews in which no pair meets twice, known to exist; the goal's counted bound
is then 0 (or what counting leaves), and the planner may not claim more. Where the planner reaches
the design itself the answer is proved best.

Sources, from memory:

* affine planes AG(2, q): q * q points, q + 1 parallel classes of q lines of q points; R. C. Bose,
  On the application of the properties of Galois fields to the construction of hyper-Graeco-Latin
  squares, Sankhya 3 (1938). Order 4: 16 in fours for 5 rounds. Order 3: 9 in threes for 4 rounds.
* Kirkman's schoolgirls: 15 in threes for 7 rounds; T. P. Kirkman, Query VI, Lady's and
  Gentleman's Diary 147 (1850), 48; solution by A. Cayley, Philosophical Magazine 37 (1850), 50-53.
* Latin squares of every order (cyclic): L. Euler, Recherches sur une nouvelle espece de quarres
  magiques (1782).
"""

from __future__ import annotations

from itertools import combinations

import pytest

from scheduling.planner.check_rotation import check_rotation
from scheduling.planner.measuring import RotationMeasures
from scheduling.planner.problem import Placed, RotationProblem
from scheduling.planner.rotation import solve
from scheduling.planner.rotation_bounds import least_partner_repeats
from tests.planner.courses import duty, person, rotation, step

Rounds = list[list[tuple[int, ...]]]


def rounds_of(people: int, size: int, rounds: int) -> RotationProblem:
    """So many people in crews of one size for so many rounds; nothing but mixing matters."""
    crews = [f"crew{n}" for n in range(people // size)]
    return rotation(
        [person(f"p{n:02}") for n in range(people)],
        [duty(crew, size, core=False) for crew in crews],
        [step(f"r{n}", 100 * n, 100 * n + 50, *crews) for n in range(rounds)],
    )


def as_plan(design: Rounds) -> tuple[Placed, ...]:
    return tuple(
        Placed(step=f"r{r}", duty=f"crew{c}", person=f"p{n:02}")
        for r, crews in enumerate(design)
        for c, crew in enumerate(crews)
        for n in crew
    )


def field_of_4() -> tuple[list[list[int]], list[list[int]]]:
    """Addition and multiplication of the field with four elements 0, 1, a = 2, a + 1 = 3."""
    add = [[x ^ y for y in range(4)] for x in range(4)]
    log, exp = {1: 0, 2: 1, 3: 2}, [1, 2, 3]
    multiply = [
        [0 if 0 in (x, y) else exp[(log[x] + log[y]) % 3] for y in range(4)] for x in range(4)
    ]
    return add, multiply


def affine_plane(q: int) -> Rounds:
    """The parallel classes of AG(2, q) for q = 3 (a prime) or 4: y = m x + b, and x = c."""
    if q == 4:
        add, multiply = field_of_4()
    else:
        add = [[(x + y) % q for y in range(q)] for x in range(q)]
        multiply = [[x * y % q for y in range(q)] for x in range(q)]
    sloped = [
        [tuple(q * x + add[multiply[m][x]][b] for x in range(q)) for b in range(q)]
        for m in range(q)
    ]
    upright = [[tuple(q * c + y for y in range(q)) for c in range(q)]]
    return [*sloped, *upright]


# One of the seven solutions, girls numbered 0 to 14.
KIRKMAN: Rounds = [
    [(0, 1, 2), (3, 7, 11), (4, 9, 14), (5, 10, 12), (6, 8, 13)],
    [(0, 3, 4), (1, 7, 9), (2, 12, 13), (5, 8, 14), (6, 10, 11)],
    [(0, 5, 6), (1, 8, 10), (2, 11, 14), (3, 9, 13), (4, 7, 12)],
    [(0, 7, 8), (1, 11, 13), (2, 4, 5), (3, 10, 14), (6, 9, 12)],
    [(0, 9, 10), (1, 12, 14), (2, 3, 6), (4, 8, 11), (5, 7, 13)],
    [(0, 11, 12), (1, 3, 5), (2, 8, 9), (4, 10, 13), (6, 7, 14)],
    [(0, 13, 14), (1, 4, 6), (2, 7, 10), (3, 8, 12), (5, 9, 11)],
]

DESIGNS = {
    "affine plane of order 3": (9, 3, affine_plane(3)),
    "affine plane of order 4": (16, 4, affine_plane(4)),
    "fifteen schoolgirls": (15, 3, KIRKMAN),
}


@pytest.mark.parametrize("name", DESIGNS)
def test_a_published_design_is_measured_as_meeting_nobody_twice(name):
    """The design itself is a plan of the course, breaks no rule and repeats no pair."""
    people, size, design = DESIGNS[name]
    problem = rounds_of(people, size, len(design))
    measures = RotationMeasures(problem=problem, placed=as_plan(design))
    assert check_rotation(problem, measures.placed) == ()
    assert set(measures.meetings().values()) == {1}
    assert len(measures.meetings()) == len(list(combinations(range(people), 2)))
    assert measures.partner_repeats() == 0 == least_partner_repeats(measures)


@pytest.mark.parametrize("name", DESIGNS)
def test_one_round_more_than_a_design_repeats_at_least_a_round_of_pairs(name):
    """Every pair has met, so each meeting of one more round is a repeat: counted without search."""
    people, size, design = DESIGNS[name]
    problem = rounds_of(people, size, len(design) + 1)
    measures = RotationMeasures(problem=problem, placed=as_plan([*design, design[0]]))
    pairs = people // size * len(list(combinations(range(size), 2)))
    assert measures.partner_repeats() == pairs == least_partner_repeats(measures)


def repeats_of(problem: RotationProblem, seconds: float) -> tuple[int, int]:
    """The planner's own value and bound, its plan checked."""
    answer = solve(problem, seconds=seconds)
    assert check_rotation(problem, answer.placed) == ()
    goal = next(goal for goal in answer.goals if goal.name == "partners met again")
    assert goal.value == answer.measures.partner_repeats()
    return goal.value, goal.bound


def test_nine_in_threes_for_four_rounds_are_found_with_no_pair_meeting_twice():
    assert repeats_of(rounds_of(9, 3, 4), seconds=10) == (0, 0)


def test_eight_in_fours_meet_again_as_often_as_they_must():
    """Two crews of four, twice: whoever splits a crew as 2 + 2 keeps 1 + 1 pairs in each half.

    A second round made of two from each first crew repeats 2 pairs in each of its crews: 4. A
    split as 3 + 1 repeats 3 in each: 6; as 4 + 0, 6 in each: 12. So 4 is best for two rounds. For
    seven rounds AG(3, 2) has every pair meet 3 times (28 pairs, 84 meetings), 56 beyond the first:
    the least, since 84 meetings are made whatever the crews.
    """
    assert repeats_of(rounds_of(8, 4, 2), seconds=60) == (4, 4)
    seven = rounds_of(8, 4, 7)
    answer = solve(seven, seconds=5)
    value = answer.measures.partner_repeats()
    assert value == least_partner_repeats(answer.measures) == 84 - 28


def test_sixteen_in_fours_for_five_rounds_are_found_with_no_pair_meeting_twice():
    assert repeats_of(rounds_of(16, 4, 5), seconds=10) == (0, 0)


def test_the_schoolgirls_are_come_near_and_no_more_is_claimed():
    """None need meet twice, and the bound says so; the search in seconds still repeats a few."""
    value, bound = repeats_of(rounds_of(15, 3, 7), seconds=10)
    assert bound == 0
    assert value <= 10


@pytest.mark.parametrize("n", [6, 7])
def test_a_latin_square_covers_everything(n):
    """As many people as duties as rounds: all n * n pairs of person and duty, each once."""
    names = [f"d{k}" for k in range(n)]
    problem = rotation(
        [person(f"p{k}") for k in range(n)],
        [duty(name) for name in names],
        [step(f"r{k}", 100 * k, 100 * k + 50, *names) for k in range(n)],
    )
    answer = solve(problem, seconds=10)
    assert check_rotation(problem, answer.placed) == ()
    (coverage,) = [goal for goal in answer.goals if goal.name == "coverage"]
    assert (coverage.value, coverage.bound) == (n * n, n * n)
    assert all(answer.measures.coverage_by_person()[f"p{k}"] == (n, n) for k in range(n))
