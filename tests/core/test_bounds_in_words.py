"""What cannot be told from nothing is bounded with two figures, never below the bound."""

import pytest

from landmarks.assessment.words import _bound


@pytest.mark.parametrize(
    ("value", "said"),
    [(0.2286, 0.23), (0.005, 0.005), (0.009075, 0.0091), (12.31, 13.0), (1234.0, 1300.0),
     (0.1, 0.1), (0.0, 0.0)],
)  # fmt: skip
def test_a_bound_is_said_with_two_figures_and_holds(value, said):
    assert _bound(value) == said
    assert _bound(value) >= value
