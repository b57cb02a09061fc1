"""Known fair divisions: the greatest least share, as published or as argued beside each."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.planner.answer import Status
from scheduling.planner.check_shares import check_shares
from scheduling.planner.shares import divide
from scheduling.planner.shares_problem import Owner, Package, SharesMeasures, SharesProblem


def problem(worths: list[list[int]], parts: list[int] | None = None) -> SharesProblem:
    """Goods of given worth, one row an owner; weight left out of it by a wide allowance."""
    goods = range(len(worths[0]))
    return SharesProblem(
        packages=tuple(Package(id=f"g{n}", kind="good", grams=1) for n in goods),
        owners=tuple(
            Owner(
                id=f"o{k}",
                name=f"Owner {k}",
                parts=(parts or [1] * len(worths))[k],
                points={f"g{n}": worth for n, worth in enumerate(row)},
            )
            for k, row in enumerate(worths)
        ),
        allowance_g=len(worths[0]),
    )


def least_points(worths: list[list[int]], seconds: float = 30.0) -> int:
    answer = divide(problem(worths), seconds=seconds)
    assert answer.status is Status.PROVED_BEST
    assert check_shares(answer.problem, answer.division) == ()
    return min(answer.measures.points_of(owner.id) for owner in answer.problem.owners)


def test_one_three_five_six_nine_among_three_is_seven():
    """Encyclopedia article on maximin share: {1, 6}, {3, 5}, {9}; the even 8 cannot be had."""
    assert least_points([[1, 3, 5, 6, 9]] * 3) == 7


def test_a_proportional_division_of_three_goods():
    """A fair-division theorem collection: 10 20 30, 20 10 30, 10 20 30; {2}, {1}, {3} gives 20."""
    assert least_points([[10, 20, 30], [20, 10, 30], [10, 20, 30]]) == 20


def test_graham_s_list_splits_evenly():
    """Graham 1969 (from memory): 5 5 4 4 3 3 3 on three machines ends at 9, the longest-first list
    at 11; even piles of 9 are also the greatest least pile, since 27 = 3 x 9."""
    assert least_points([[5, 5, 4, 4, 3, 3, 3]] * 3) == 9


@pytest.mark.parametrize(("goods", "owners"), [(7, 3), (12, 5), (4, 5)])
def test_identical_goods_divide_to_the_whole_part(goods, owners):
    """The same article: m identical goods among n give floor(m / n)."""
    assert least_points([[1] * goods] * owners) == goods // owners


# Procaccia and Wang, Fair Enough, 2014 (the matrices from memory; the sums below confirm them).
SIXES = [[1, 1, 1, 1], [1, 1, 1, 1], [1, 1, 1, 1]]
THREES = [[17, 25, 12, 1], [2, 22, 3, 28], [11, 0, 21, 23]]
ONES = [
    [[3, -1, -1, -1], [0, 0, 0, 0], [0, 0, 0, 0]],
    [[3, -1, 0, 0], [-1, 0, 0, 0], [-1, 0, 0, 0]],
    [[3, 0, -1, 0], [0, 0, -1, 0], [0, 0, 0, -1]],
]


def procaccia_wang() -> list[list[int]]:
    cells = list(product(range(3), range(4)))
    return [
        [10**6 * SIXES[r][c] + 10**3 * THREES[r][c] + ones[r][c] for r, c in cells] for ones in ONES
    ]


def test_each_of_three_could_alone_make_even_piles():
    """Each owner's own greatest least pile is 4,055,000: each in another way."""
    for row in procaccia_wang():
        assert sum(row) == 3 * 4_055_000
        assert least_points([row] * 3) == 4_055_000


def test_yet_no_division_gives_all_three_that_much():
    """Published result: no division gives each their maximin share."""
    assert least_points(procaccia_wang()) < 4_055_000


def brute(worths: list[list[int]], parts: list[int]) -> tuple[int, int]:
    """The best least satisfaction, and the best total with it, by looking at every division."""
    asked = problem(worths, parts)
    best = (-1, -1)
    for owners in product(range(len(worths)), repeat=len(worths[0])):
        division = {f"g{n}": f"o{k}" for n, k in enumerate(owners)}
        found = SharesMeasures(problem=asked, division=division)
        best = max(best, (found.least, found.total))
    return best


@given(data=st.data())
@settings(deadline=None, max_examples=20)
def test_every_small_division_is_as_good_as_the_best_of_all(data):
    owners = data.draw(st.integers(2, 3))
    goods = data.draw(st.integers(2, 5))
    rows = st.lists(st.integers(0, 20), min_size=goods, max_size=goods)
    worths = data.draw(st.lists(rows, min_size=owners, max_size=owners))
    parts = data.draw(st.lists(st.integers(1, 3), min_size=owners, max_size=owners))
    answer = divide(problem(worths, parts), workers=1)
    assert answer.status is Status.PROVED_BEST
    assert (answer.measures.least, answer.measures.total) == brute(worths, parts)
    assert [goal.value for goal in answer.goals] == [answer.measures.least, answer.measures.total]
