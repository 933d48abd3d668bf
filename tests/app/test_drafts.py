"""What is begun with an instrument and not accepted: kept where it was begun, and by whom."""

import pytest

from app.session import Instrument, Session
from app.session.at_work import done_with, take_back
from app.session.repeating import Repeat
from landmarks.collection import Person
from landmarks.repeats import BLIND, SECOND
from landmarks.sentences import text
from landmarks.storage import MemoryStore
from tests.app.repeated import ABOUT, ANN, fill, shells


class Counter(Instrument):
    """An instrument whose clicks are counted; as many as are recorded are no draft."""

    key = "folds"

    def __init__(self, n=0, landmark=""):
        super().__init__()
        self.n, self.landmark = n, landmark

    @property
    def draft(self):
        return self.n or None

    def take_up(self, draft):
        self.n = draft

    def step_back(self):
        self.n = max(0, self.n - 1)
        return bool(self.n)


class OfPicture(Counter):
    of_picture = True


@pytest.fixture
def session(qtbot):
    session = Session()
    session.person = ANN
    session.said = []
    session.noticed.connect(lambda one, _kind: session.said.append(text(one)))
    opened(session, qtbot)
    yield session
    session.opening.close()


def opened(session, qtbot, *, example=False):
    """Open a collection of three shells that all show one picture."""
    there = []
    store = fill(MemoryStore(ABOUT), shells(3))
    session.opening.open(
        lambda: store, path=None, example=example, then=lambda: there.append(True)
    )
    qtbot.waitUntil(lambda: bool(there) and session.specimen is not None)
    quiet(qtbot, session)


def quiet(qtbot, session):
    qtbot.waitUntil(lambda: not session.desk.busy and session.saving.n_waiting == 0)


def taken_up(session, made=None):
    """Take an instrument up; return what it goes on with, and whether it says so."""
    instrument = made or Counter()
    session.hand.take_instrument(instrument)
    return instrument.n, instrument.goes_on


def choose(session, qtbot, specimen):
    session.choose(specimen)
    qtbot.waitUntil(lambda: session.specimen is not None
                    and session.specimen.id == specimen)  # fmt: skip
    quiet(qtbot, session)


def test_it_is_gone_on_with_where_it_was_left_and_nowhere_else(session, qtbot):
    here = session.specimen.id
    assert taken_up(session) == (0, False)
    session.instrument.n = 3
    session.choose_frame(session.frame.id)
    assert session.instrument is None
    assert taken_up(session, Counter(landmark="umbo")) == (0, False), "another landmark"
    other = next(row.specimen for row in session.rows if row.specimen != here)
    choose(session, qtbot, other)
    assert taken_up(session) == (0, False), "another frame"
    assert taken_up(session, OfPicture(2)) == (2, False)
    choose(session, qtbot, here)
    # What belongs to the picture is there for every frame that shows it.
    assert taken_up(session, OfPicture()) == (2, True)
    assert taken_up(session) == (3, True)


def test_what_is_accepted_or_taken_back_leaves_nothing(session):
    session.hand.take_instrument(Counter(2))
    assert take_back(session)
    session.hand.take_instrument(None)
    assert taken_up(session) == (1, True)
    assert take_back(session)
    assert session.instrument is None
    assert taken_up(session) == (0, False)
    session.instrument.n = 5
    done_with(session)
    assert taken_up(session) == (0, False)
    # What is begun anew takes the place of what was left.
    session.instrument.n = 5
    session.hand.take_instrument(Counter(4))
    session.hand.take_instrument(None)
    assert taken_up(session) == (4, True)


@pytest.mark.parametrize("who", [(BLIND, ANN), (SECOND, Person("ben", "Ben Sound"))])
def test_a_repeat_sees_no_draft_of_the_record_nor_the_record_one_of_it(session, qtbot, who):
    first, second = (row.specimen for row in session.rows[:2])
    choose(session, qtbot, first)
    session.hand.take_instrument(Counter(3))
    session.veil.begin(Repeat(*who, (first, second)))
    qtbot.waitUntil(lambda: session.repeat is not None and session.frame is not None)
    quiet(qtbot, session)
    assert taken_up(session) == (0, False)
    session.instrument.n = 7
    # A specimen that was repeated does not come again: nothing half done stays behind.
    session.veil.next()
    assert session.repeat.at == 0
    assert "was begun here" in session.said[-1]
    assert taken_up(session) == (7, True)
    done_with(session)
    session.veil.next()
    assert session.repeat.at == 1
    quiet(qtbot, session)
    session.hand.take_instrument(Counter(9))
    session.veil.stop()
    qtbot.waitUntil(lambda: session.specimen is not None and session.specimen.id == first)
    assert taken_up(session) == (3, True)


def test_a_window_with_drafts_closes_only_when_asked_twice(session, qtbot):
    assert session.opening.may_close()
    session.hand.take_instrument(Counter(3))
    assert not session.opening.may_close()
    assert session.said[-1].startswith("“Folds” was begun on “fluted-valve-outside.jpg”")
    assert session.opening.may_close()
    # Gone on with, it is said again.
    assert taken_up(session) == (3, True)
    assert not session.opening.may_close()
    # Another collection does not cost it; one who comes back goes on.
    here = session.specimen.id
    opened(session, qtbot, example=True)
    session.hand.take_instrument(Counter(8))
    opened(session, qtbot)
    choose(session, qtbot, here)
    assert taken_up(session) == (3, True)
    done_with(session)
    assert session.opening.may_close(), "nothing is kept of the example"
