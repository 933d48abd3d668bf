"""A scanned number finds its specimen among any number of others that hold its figures."""

import pytest

from app.panels.band_trouble import Trouble
from app.session import Session
from app.session.entering import entering
from landmarks.changes import ChangeSet, Document, difference
from landmarks.collection import About
from landmarks.sentences import Sentence
from landmarks.specimen import Label, Specimen, parts_of
from landmarks.storage import MemoryStore

NUMBERS = [*map(str, range(1, 61)), "2024", "PM-2024-7"]


@pytest.fixture
def session(qapp, qtbot):
    made = [
        Specimen(f"s{n}", label=Label(number, locality="station 2024, PM 7"))
        for n, number in enumerate(NUMBERS)
    ]
    changes = [
        change
        for one in made
        for change in difference(Document("specimen", one.id), {}, parts_of(one))
    ]
    store = MemoryStore(About("c", "Port Maren Museum"))
    store.commit(ChangeSet("many", Sentence("deed.set_label"), tuple(changes)))
    session = Session()
    session.opening.open(lambda: store, path=None)
    qtbot.waitUntil(lambda: session.specimen is not None and not session.desk.busy)
    yield session
    session.opening.close()


@pytest.mark.parametrize(
    ("code", "number"),
    [("2024", "2024"), ("pm 2024 7", "PM-2024-7"), ("PM-2024-7", "PM-2024-7")],
)
def test_others_with_the_same_figures_hide_none(session, qtbot, code, number):
    assert session.specimen.label.catalogue_number != number
    entering(session).scanned(code)
    qtbot.waitUntil(lambda: session.specimen.label.catalogue_number == number)


@pytest.mark.parametrize("code", ["2024", "1"])
def test_that_a_number_leads_nowhere_is_over_once_the_next_one_leads_on(
    session, qtbot, code
):
    trouble, heard = Trouble(session, lambda: None), []
    session.noticed.connect(trouble.notice)
    session.changed.connect(trouble.look)
    session.noticed.connect(lambda sentence, _: heard.append(sentence.values["number"]))
    for n, unknown in enumerate(("NONE-7", "NONE-8"), 1):
        entering(session).scanned(unknown)
        qtbot.waitUntil(lambda n=n: len(heard) == n)
        assert trouble.n_told == 1, "the later number takes the place of the earlier one"
    entering(session).scanned(code)
    qtbot.waitUntil(lambda: session.specimen.label.catalogue_number == code)
    qtbot.waitUntil(lambda: trouble.n_told == 0)
