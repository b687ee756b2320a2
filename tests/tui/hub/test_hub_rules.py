"""Rights of accounts, against another implementation of topic filters (Eclipse Paho) and the rules for mosquitto."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from paho.mqtt.client import topic_matches_sub

from tests.brokers.mosquitto import PACKAGED
from tui.hub.rules import covers, of_account, of_anybody
from tui.share.topics import Kind, Topic

LEVELS = ("a", "b", "")
FILTERS = st.lists(st.sampled_from(["a", "b", "", "+"]), min_size=1, max_size=4).flatmap(
    lambda levels: st.sampled_from(["/".join(levels), "/".join([*levels, "#"]), "#"])
)
TOPICS = ["/".join(levels) for length in range(1, 7) for levels in product(LEVELS, repeat=length)]


@given(granted=FILTERS, topic=st.sampled_from([one for one in TOPICS if one]))
def test_a_topic_is_covered_as_the_standard_has_it_but_for_the_parent(granted: str, topic: str) -> None:
    """`a/#` matches `a` too (OASIS MQTT 3.1.1, 4.7.1.2); a right to write below is none to write there."""
    parent = granted.endswith("/#") and topic_matches_sub(granted[:-2], topic)
    assert covers(granted, topic) == (topic_matches_sub(granted, topic) and not parent)


@given(granted=FILTERS, asked=FILTERS)
def test_a_filter_is_covered_where_all_its_topics_are(granted: str, asked: str) -> None:
    if covers(granted, asked):
        asked_for = [one for one in TOPICS if one and topic_matches_sub(asked, one)]
        assert [one for one in asked_for if not topic_matches_sub(granted, one)] == []


def test_a_station_has_what_is_its_own() -> None:
    rights = of_account("rack-3", gateways=["board-3"])
    for kind in Kind:
        own, other = str(Topic("rack-3", kind)), str(Topic("rack-4", kind))
        assert rights.may_write(own) == ("/up/" in own)
        assert rights.may_read(own) == ("/down/" in own)
        assert not rights.may_write(other)
        assert not rights.may_read(other)
    assert rights.may_read("rungwise/1/gateway/board-3/up/#")
    assert rights.may_write("rungwise/1/gateway/board-3/down/belt/control")
    assert not rights.may_write("rungwise/1/gateway/board-3/up/belt/data")
    assert not rights.may_read("rungwise/1/gateway/board-4/up/#")


@pytest.mark.parametrize("asked", ["#", "+/#", "rungwise/#", "rungwise/1/#", "rungwise/1/station/#", "$SYS/#", "+"])
def test_nobody_with_an_account_hears_everything(asked: str) -> None:
    assert not of_account("rack-3").may_read(asked)
    assert not of_account("coach", coach=True).may_read(asked)


def test_a_gym_stands_before_all() -> None:
    rights = of_account("rack-3", gym="valley")
    assert rights.may_write("valley/rungwise/1/station/rack-3/up/now")
    assert not rights.may_write("rungwise/1/station/rack-3/up/now")
    assert not rights.may_write("hill/rungwise/1/station/rack-3/up/now")


def test_anybody_has_what_is_rungwises_and_nothing_else() -> None:
    assert of_anybody().may_write("rungwise/1/station/rack-3/up/now")
    assert of_anybody().may_write("valley/rungwise/1/station/rack-3/up/now")
    assert not of_anybody("valley").may_write("rungwise/1/station/rack-3/up/now")
    for other in ("anything", "$SYS/broker", "rungwise/2/station/rack-3/up/now"):
        assert not of_anybody().may_write(other)


def test_the_rules_for_mosquitto_say_the_same() -> None:
    lines = [line.split() for line in (PACKAGED / "rungwise.acl").read_text().splitlines()]
    said: dict[str, set[tuple[str, str]]] = {"": set()}
    who = ""
    for line in lines:
        if line[:1] == ["user"]:
            who = line[1]
            said[who] = set()
        elif line[:1] in (["pattern"], ["topic"]):
            said[who if line[0] == "topic" else ""].add((line[1], line[2]))
    for name, coach, gateways in [("rack-3", False, ["board-3"]), ("coach", True, []), ("rack-9", False, [])]:
        rights = of_account(name, coach=coach, gateways=gateways)
        ours = {("write", one) for one in rights.writes} | {("read", one) for one in rights.reads}
        theirs = {(how, one.replace("%u", name)) for how, one in said[""]} | said.get(name, set())
        assert ours == theirs, name
