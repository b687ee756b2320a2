"""Topics: what is written is understood, and nothing else is (OASIS MQTT 3.1.1, 4.7)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paho.mqtt.client import topic_matches_sub

from tui.share.topics import NAME, UP, Kind, Topic, TopicError, name, of_all, parse

NAMES = st.from_regex(NAME, fullmatch=True)


@given(NAMES, st.sampled_from(list(Kind)), NAMES | st.just(""))
def test_a_topic_is_understood(station: str, kind: Kind, gym: str) -> None:
    topic = Topic(station, kind, gym)
    assert parse(str(topic), gym) == topic
    assert topic_matches_sub(of_all(kind, gym), str(topic)) == (kind in UP)  # the reference client's own matching


@given(st.text(max_size=80), NAMES | st.just(""))
def test_a_strange_topic_is_nothing(text: str, gym: str) -> None:
    assert parse(text, gym) is None or str(parse(text, gym)) == text


@pytest.mark.parametrize(
    "text",
    [
        "rungwise/1/station/../up/now",
        "rungwise/1/station/rack-3/down/now",
        "rungwise/1/station/rack-3/up/word",
        "rungwise/2/station/rack-3/up/now",
        "rungwise/1/station/RACK/up/now",
        "rungwise/1/station/rack-3/up/now/",
        "other/rungwise/1/station/rack-3/up/now",
        "rungwise/1/station/a;b/up/now",
        "$SYS/broker/version",
    ],
)
def test_no_topic_of_another_form_is_taken(text: str) -> None:
    assert parse(text) is None


@pytest.mark.parametrize("text", ["", "a/b", "+", "#", "-a", "a-", "Rack", "a" * 33, "ä", "..", "a b"])
def test_a_name_that_cannot_stand_in_a_topic_is_refused(text: str) -> None:
    with pytest.raises(TopicError, match="rack-3"):
        name(text)


def test_a_gym_stands_before_all() -> None:
    assert str(Topic("rack-3", Kind.WORD, "north")) == "north/rungwise/1/station/rack-3/down/word"
    assert parse("rungwise/1/station/rack-3/up/now", "north") is None
