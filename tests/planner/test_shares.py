"""Shares: one tiny division a rule, its optimum argued; any division passes the checker."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.planner.answer import Status
from scheduling.planner.check_shares import check_shares
from scheduling.planner.errors import BadProblem
from scheduling.planner.shares import divide
from scheduling.planner.shares_problem import (
    Owner,
    Package,
    ShareRule,
    SharesMeasures,
    SharesProblem,
    Wish,
)
from scheduling.planner.shares_words import explain

KINDS = ("chops", "ham", "sausage", "liver")


def packages(*grams: int, kind: str = "chops") -> tuple[Package, ...]:
    return tuple(Package(id=f"{kind}{n}", kind=kind, grams=g) for n, g in enumerate(grams))


ASH, BIRCH = Owner(id="a", name="Ash"), Owner(id="b", name="Birch")


def divided(problem: SharesProblem) -> SharesMeasures:
    answer = divide(problem)
    assert answer.status is Status.PROVED_BEST
    assert check_shares(problem, answer.division) == ()
    return answer.measures


def test_parts_set_the_weight():
    """Three equal kilos, parts 1 and 2: one and two of them."""
    problem = SharesProblem(
        packages=packages(1000, 1000, 1000), owners=(ASH, replace(BIRCH, parts=2))
    )
    found = divided(problem)
    assert (found.grams_of("a"), found.grams_of("b")) == (1000, 2000)


def test_wishes_decide_who_gets_which_of_equal_weight():
    """One loves liver, one would rather not: the liver goes where it is loved."""
    problem = SharesProblem(
        packages=(*packages(500, 500), *packages(500, 500, kind="liver")),
        owners=(
            replace(ASH, wishes={"liver": Wish.LOVES}),
            replace(BIRCH, wishes={"liver": Wish.RATHER_NOT}),
        ),
    )
    assert {p.kind for p in divided(problem).held("a")} == {"liver"}


def test_the_least_satisfied_comes_before_the_sum():
    """Everything to Ash would be worth most in sum; Birch still gets an even part of it."""
    goods = packages(100, 100, 100, 100)
    ash = replace(ASH, points={p.id: 10 for p in goods})
    birch = replace(BIRCH, points={p.id: 1 for p in goods})
    found = divided(SharesProblem(packages=goods, owners=(ash, birch), allowance_g=400))
    # With least as good as can be, Birch has 2 of 4 points x 2 parts only if Ash has the rest:
    # one package more for Birch lifts least until Birch holds 3 (6 steps) and Ash 1 (20 steps).
    assert found.points_of("b") == 3
    assert found.least == 6


def test_nobody_gets_what_they_never_take():
    problem = SharesProblem(
        packages=(*packages(500, 500), *packages(400, kind="lard")),
        owners=(replace(ASH, wishes={"lard": Wish.NEVER}), BIRCH),
    )
    found = divided(problem)
    assert {p.kind for p in found.held("a")} == {"chops"}


def test_what_is_handed_over_stays_and_the_rest_makes_up_for_it():
    """Birch drove off with the 900 g; Ash gets what is left of the even 1000 g each."""
    goods = packages(900, 600, 400, 100)
    problem = SharesProblem(packages=goods, owners=(ASH, BIRCH), handed_over={"chops0": "b"})
    found = divided(problem)
    assert found.division["chops0"] == "b"
    assert found.grams_of("a") == 1000


def test_a_missing_package_moves_as_little_as_can_be():
    """Six even packages; one is gone. Of the equally good divisions, one moves nothing."""
    goods = packages(500, 500, 500, 500, 500, 500)
    first = divide(SharesProblem(packages=goods, owners=(ASH, BIRCH))).division
    left = tuple(p for p in goods if p.id != "chops5")
    again = divide(SharesProblem(packages=left, owners=(ASH, BIRCH), before=first))
    assert again.status is Status.PROVED_BEST
    assert [goal.name for goal in again.goals][-1] == "moved"
    assert again.measures.moved == 0


def test_an_allowance_that_cannot_be_kept_names_the_least_that_can():
    """One package of 1000 g between two: each is due 500 g, so both are off by 500 g."""
    answer = divide(SharesProblem(packages=packages(1000), owners=(ASH, BIRCH), allowance_g=100))
    assert answer.status is Status.IMPOSSIBLE
    assert answer.allowance_needed_g == 500
    assert "Allow 500 g" in answer.refusal
    assert answer.division == {}


BROKEN = SharesProblem(
    packages=(*packages(500, 500), *packages(500, kind="liver")),
    owners=(replace(ASH, wishes={"liver": Wish.NEVER}), BIRCH),
    handed_over={"chops0": "a"},
    allowance_g=300,
)
GOOD = {"chops0": "a", "chops1": "b", "liver0": "b"}


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"chops1": "nobody"}, ShareRule.ONCE),
        ({"ghost": "a"}, ShareRule.ONCE),
        ({"liver0": "a"}, ShareRule.NEVER),
        ({"chops0": "b"}, ShareRule.HANDED_OVER),
        ({"chops0": "b"}, ShareRule.WEIGHT),
    ],
)
def test_the_checker_flags_each_rule(change, rule):
    assert check_shares(BROKEN, GOOD) == ()
    broken = check_shares(BROKEN, {**GOOD, **change})
    assert rule in {one.rule for one in broken}
    assert all(one.sentence.startswith(one.rule.sentence) for one in broken)


@given(data=st.data())
@settings(deadline=None, max_examples=15)
def test_any_division_passes_the_checker_and_measures_itself(data):
    goods = tuple(
        Package(id=f"p{n}", kind=kind, grams=grams)
        for n, (kind, grams) in enumerate(
            data.draw(
                st.lists(
                    st.tuples(st.sampled_from(KINDS), st.integers(100, 3000)),
                    min_size=4,
                    max_size=12,
                )
            )
        )
    )
    wish = st.dictionaries(
        st.sampled_from(KINDS), st.sampled_from([Wish.RATHER_NOT, Wish.LIKES, Wish.LOVES])
    )
    owners = tuple(
        Owner(id=f"o{n}", name=f"Owner {n}", parts=data.draw(st.integers(1, 3)), wishes=w)
        for n, w in enumerate(data.draw(st.lists(wish, min_size=2, max_size=3)))
    )
    answer = divide(SharesProblem(packages=goods, owners=owners, allowance_g=40_000), workers=1)
    assert answer.status is Status.PROVED_BEST
    assert check_shares(answer.problem, answer.division) == ()
    found = answer.measures
    assert sum(found.grams_of(o.id) for o in owners) == answer.problem.grams
    assert [goal.value for goal in answer.goals] == [found.least, found.total]
    for one in explain(found):
        assert sum(grams for _, _, grams in one.kinds) == one.grams


def test_an_explanation_names_what_was_loved_and_went_elsewhere():
    goods = (*packages(500, 500), *packages(500, kind="liver"), *packages(500, kind="ham"))
    problem = SharesProblem(
        packages=goods, owners=(replace(ASH, wishes={"liver": Wish.LOVES}), BIRCH)
    )
    division = {"chops0": "a", "chops1": "a", "liver0": "b", "ham0": "b"}
    ash, birch = explain(SharesMeasures(problem=problem, division=division))
    assert "No liver of 1 went to Ash, who loves it." in ash.sentences
    assert "Birch's pile is worth more to Ash, by one package at most." in ash.sentences
    assert birch.sentences[-1] == "Nobody's pile is worth more to Birch."


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Package(id="p", kind="ham", grams=0), "1 to 100000 g"),
        (lambda: Owner(id="a", name="Ash", parts=0), "owns 0 parts"),
        (lambda: Owner(id="a", name="Ash", points={"p": -1}), "0 or more"),
        (lambda: SharesProblem(packages=(), owners=(ASH,)), "0 packages"),
        (lambda: SharesProblem(packages=packages(1), owners=(ASH, ASH)), "listed twice"),
        (
            lambda: SharesProblem(packages=packages(1), owners=(ASH,), handed_over={"x": "a"}),
            "not in the problem",
        ),
        (
            lambda: SharesProblem(
                packages=packages(1, kind="lard"),
                owners=(replace(ASH, wishes={"lard": Wish.NEVER}),),
            ),
            "Nobody takes lard",
        ),
        (lambda: SharesProblem(packages=packages(1), owners=(ASH,), allowance_g=-1), "0 or more"),
    ],
)
def test_bad_input_is_refused_in_words(make, words):
    with pytest.raises(BadProblem, match=words):
        make()


def test_no_time_and_no_workers_are_refused():
    problem = SharesProblem(packages=packages(1), owners=(ASH,))
    with pytest.raises(ValueError, match="more than 0 s"):
        divide(problem, seconds=0)
