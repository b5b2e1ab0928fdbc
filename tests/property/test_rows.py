"""Rows of numbers in one whole number do what lists of numbers do."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from finplan.planning.rows import BITS, FAR, Rows, number_at, row_of

NUMBERS = st.integers(0, FAR)
PAIRS = st.lists(st.tuples(NUMBERS, NUMBERS), min_size=1, max_size=12)


@given(PAIRS)
def test_the_greater_of_each_two(pairs):
    one, two = zip(*pairs, strict=True)
    rows = Rows(len(pairs))
    assert rows.greater(row_of(one), row_of(two)) == row_of([max(pair) for pair in pairs])


@given(PAIRS)
def test_no_more_where_no_number_is(pairs):
    one, two = zip(*pairs, strict=True)
    rows = Rows(len(pairs))
    assert rows.no_more(row_of(one), row_of(two)) == all(a <= b for a, b in pairs)
    assert rows.no_more(row_of(one), row_of(one))


@given(st.lists(NUMBERS, min_size=1, max_size=12), st.integers(0, FAR - 1))
def test_numbers_over_one_and_up_from_one(numbers, limit):
    rows = Rows(len(numbers))
    over = [number if number > limit else 0 for number in numbers]
    assert rows.over(row_of(numbers), limit) == row_of(over)
    least = [max(number, limit) for number in numbers]
    assert rows.at_least(row_of(numbers), limit) == row_of(least)


@given(st.lists(NUMBERS, min_size=1, max_size=12))
def test_a_row_gives_back_its_numbers(numbers):
    row = row_of(numbers)
    assert Rows(len(numbers)).numbers(row).tolist() == numbers
    assert [number_at(row, BITS * at) for at in range(len(numbers))] == numbers
