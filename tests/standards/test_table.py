"""That no published value is dropped in silence, and that the summary holds."""

from collections import Counter

import pytest

from tests.standards.table import HEAD, lines
from tests.standards.topic import DATA, Topic
from tests.standards.topics import topics

TOPICS = topics()


def test_every_file_has_its_topic() -> None:
    """Each file of published values is read by one test module."""
    assert sorted(file.stem for file in DATA.glob("*.toml")) == [topic.name for topic in TOPICS]


def test_no_case_has_anothers_id() -> None:
    """An id names one case."""
    ids = Counter(case.id for topic in TOPICS for case in topic.cases())

    assert [] == [name for name, count in ids.items() if count > 1]


@pytest.mark.parametrize("topic", TOPICS, ids=[topic.name for topic in TOPICS])
def test_nothing_stale_is_left_out(topic: Topic) -> None:
    """A reason for leaving out stands only while there is something that it leaves out."""
    cases = topic.cases()
    labels = {label for case in cases for label in case.labels}
    keys = {key for case in cases for key in case.expect}

    assert set() == set(topic.left_out) - labels
    assert set() == set(topic.unjudged) - keys


@pytest.mark.parametrize("topic", TOPICS, ids=[topic.name for topic in TOPICS])
def test_every_case_has_a_source(topic: Topic) -> None:
    """A value without a source proves nothing."""
    assert [] == [case.id for case in topic.cases() if not case.source]


def test_the_table_counts_them() -> None:
    """The summary has a line a topic and a sum of at least two hundred values."""
    table = lines()

    assert len(HEAD) + len(TOPICS) + 1 == len(table)
    assert int(table[-1].split("|")[3]) >= 200
