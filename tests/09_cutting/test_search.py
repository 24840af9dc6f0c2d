"""The search over pairs against every subset, one by one."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stampwright.cutting.search import cheapest_route, routes_near


@st.composite
def costs(draw):
    count = draw(st.integers(1, 6))
    table = {(i, j): draw(st.floats(0, 100)) for j in range(count) for i in [None, *range(j)]}
    return count, table


def every_sequence(count):
    others = range(count - 1)
    return [(*kept, count - 1) for size in range(count) for kept in combinations(others, size)]


def cost_of(stops, table):
    return table[None, stops[0]] + sum(table[pair] for pair in pairwise(stops))


@given(costs())
def test_the_route_is_the_cheapest_of_all_sequences(given_costs):
    count, table = given_costs
    route = cheapest_route(count, lambda i, j: table[i, j])
    assert route.cost == pytest.approx(min(cost_of(stops, table) for stops in every_sequence(count)))
    assert cost_of(route.stops, table) == pytest.approx(route.cost)


@given(costs())
def test_the_way_through_each_cutter_is_the_cheapest_that_uses_it(given_costs):
    count, table = given_costs
    route = cheapest_route(count, lambda i, j: table[i, j])
    for one in range(count):
        with_it = [cost_of(stops, table) for stops in every_sequence(count) if one in stops]
        assert route.through[one] == pytest.approx(min(with_it))


@given(costs(), st.floats(1, 3))
def test_all_ways_near_the_cheapest_are_found_cheapest_first(given_costs, share):
    count, table = given_costs
    route = cheapest_route(count, lambda i, j: table[i, j])
    found = [cost_of(stops, table) for stops in routes_near(route, share)]
    bound = share * route.cost
    every = sorted(cost_of(stops, table) for stops in every_sequence(count))
    sure = [cost for cost in every if cost <= bound * (1 - 1e-9)]
    assert found == pytest.approx(every[: len(found)])
    assert len(found) >= len(sure)
    assert all(cost <= bound * (1 + 1e-9) + 1e-9 for cost in found)
