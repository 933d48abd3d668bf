"""What is loaded late is there when it is wanted, and not before."""

import inspect

import pytest
from PySide6.QtWidgets import QWidget

from app.session import Session
from app.window.late import Late
from app.window.strips import INSTRUMENTS, STRIPS


@pytest.mark.parametrize("name", [*STRIPS, *INSTRUMENTS])
def test_a_strip_is_made_with_the_session_alone(name):
    late = STRIPS.get(name) or INSTRUMENTS[name]
    assert isinstance(late, Late)
    made = late.load()
    assert issubclass(made, QWidget)
    parameters = inspect.signature(made, eval_str=True).bind(Session).signature.parameters
    assert next(iter(parameters.values())).annotation is Session


def test_no_name_is_given_to_two_strips():
    assert not STRIPS.keys() & INSTRUMENTS.keys()
