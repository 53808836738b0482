"""Plans of elimination: whatever the order, cliques that a sum of products may be worked out on."""

from __future__ import annotations

from math import prod
from random import Random
from typing import Any

import pytest

from clutchlight.genetics.tree import DEAR, EliminationPlan, Factor, Table, Tree, planned

Scopes = tuple[tuple[int, ...], ...]


def drawn(seed: int, variables: int, scopes: int) -> tuple[tuple[int, ...], Scopes]:
    """Sizes, and scopes of three that reach back a little, as parents and young do."""
    random = Random(seed)
    sizes = tuple(random.choice((2, 2, 3, 4)) for _ in range(variables))
    return sizes, tuple(tuple(sorted(random.sample(range(variables), 3))) for _ in range(scopes))


CASES = [drawn(seed, 6 + 3 * seed, 5 + 8 * seed) for seed in range(8)]
PLANS = [(sizes, scopes, planned(sizes, scopes)) for sizes, scopes in CASES]
every_plan = pytest.mark.parametrize(("sizes", "scopes", "plan"), PLANS)


def test_cheap_and_dear_plans_are_among_them() -> None:
    """The plans here were made by either way of looking for an order."""
    assert {plan.entries >= DEAR for _, _, plan in PLANS} == {True, False}


@every_plan
def test_a_scope_is_at_home_in_the_smallest_clique_that_holds_it(
    sizes: tuple[int, ...], scopes: Scopes, plan: EliminationPlan
) -> None:
    """For scopes of factors and for single variables."""
    entries = [prod(sizes[variable] for variable in clique) for clique in plan.cliques]
    variables = {variable for scope in scopes for variable in scope}
    for scope in [*scopes, *((variable,) for variable in variables)]:
        holding = [entries[i] for i, clique in enumerate(plan.cliques) if set(scope) <= set(clique)]
        assert entries[plan.home_of(scope)] == min(holding)


@every_plan
def test_cliques_of_a_variable_hang_together(sizes: tuple[int, ...], scopes: Scopes, plan: EliminationPlan) -> None:
    """Running intersection: the edges are a forest, and those that share a variable join all cliques that hold it."""
    together = list(range(len(plan.cliques)))
    for edge in plan.edges:
        assert together[edge.one] != together[edge.other]
        together = [together[edge.one] if group == together[edge.other] else group for group in together]
    for edge in plan.edges:
        assert edge.shared == tuple(sorted(set(plan.cliques[edge.one]) & set(plan.cliques[edge.other])))
    for variable in {variable for scope in scopes for variable in scope}:
        holding = sum(variable in clique for clique in plan.cliques)
        assert sum(variable in edge.shared for edge in plan.edges) == holding - 1


@every_plan
def test_the_cost_told_is_that_of_the_cliques(sizes: tuple[int, ...], scopes: Scopes, plan: EliminationPlan) -> None:
    """Entries in all, and of the widest clique."""
    entries = [prod(sizes[variable] for variable in clique) for clique in plan.cliques]
    assert (plan.entries, plan.widest) == (sum(entries), max(entries))


def test_a_plan_is_the_same_in_any_order_of_scopes() -> None:
    """Dear ones too."""
    for sizes, scopes in CASES:
        assert planned(sizes, scopes[::-1]) == planned(sizes, scopes)


def test_what_does_not_change_is_the_same_table() -> None:
    """A belief is worked out anew only when something behind it changed: not when a far factor is only scaled."""
    near, far = Factor((0, 1), [1, 2, 3, 4]), Factor((1, 2), [1, 5, 2, 7])
    tree = Tree((2, 2, 2), (near, far))
    before = tree.belief((0,))
    assert before[0] * 54 == before[1] * 24  # 1 * 6 + 2 * 9 to 3 * 6 + 4 * 9
    tree.change(1, [3, 15, 6, 21])
    assert tree.belief((0,)) is before
    tree.change(1, [1, 5, 2, 8])
    assert tree.belief((0,)) is not before


def test_what_is_supposed_is_forgotten_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beliefs are then those of before, and no message is made again; a change that follows is noticed."""
    near, far = Factor((0, 1), [1, 2, 3, 4]), Factor((1, 2), [1, 5, 2, 7])
    tree = Tree((2, 2, 2), (near, far))
    before = tree.belief((0,)), tree.belief((2,))
    with tree.supposing({0: [0, 0, 3, 4]}):
        assert not tree.belief((0,))[0]
        assert tree.belief((2,)) == Tree((2, 2, 2), (Factor((0, 1), [0, 0, 3, 4]), far)).belief((2,))
    with monkeypatch.context() as patched:
        patched.setattr(tree, "_send", lambda *way: pytest.fail("a message was made again"))
        assert (tree.belief((0,)), tree.belief((2,))) == before
    tables: tuple[Table, ...] = ([1, 5, 2, 8], [3, 5, 2, 8])
    for table in tables:
        tree.change(1, table)
        assert tree.belief((0,)) == Tree((2, 2, 2), (near, Factor((1, 2), table))).belief((0,))


def test_what_is_supposed_next_is_no_earlier_supposition() -> None:
    """Products that are kept are told apart by the turn of their last change, which no two suppositions share."""
    near, middle, far = (Factor((at, at + 1), [1, 2, 3, 4]) for at in range(3))
    tree = Tree((2,) * 4, (near, middle, far))
    tree.belief((3,))
    tables: tuple[Table, ...] = ([1, 0, 0, 5], [7, 1, 0, 2], [1, 0, 0, 5])
    for table in tables:
        with tree.supposing({0: table}):
            assert tree.belief((3,)) == Tree((2,) * 4, (Factor((0, 1), table), middle, far)).belief((3,))


def test_products_of_neighbours_before_one_that_changed_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of five beside a clique the last alone is multiplied in anew; the belief is as if all were."""
    middle = Factor((0, 1, 2, 3, 4), list(range(1, 33)))
    leaves = [Factor((at, 5 + at), [1, 2 + at, 3, 5]) for at in range(5)]
    tree = Tree((2,) * 10, (middle, *leaves))
    clique = tree.plan.home_of(middle.scope)
    before = tree.belief(middle.scope)
    asked: list[int] = []
    spread = tree._spread

    def counted(at: int, *sent: Any) -> Any:
        asked.append(at)
        return spread(at, *sent)

    monkeypatch.setattr(tree, "_spread", counted)
    last = tree._links[clique][-1][0]
    (number,) = (at for at, leaf in enumerate(leaves, 1) if set(leaf.scope) == set(tree.plan.cliques[last]))
    tree.change(number, [2, 2, 2, 7])
    assert tree.belief(middle.scope) != before
    assert asked.count(clique) == 1
    anew = Tree(
        (2,) * 10,
        (middle, *(Factor(one.scope, [2, 2, 2, 7]) if at == number else one for at, one in enumerate(leaves, 1))),
    )
    assert tree.belief(middle.scope) == anew.belief(middle.scope)
