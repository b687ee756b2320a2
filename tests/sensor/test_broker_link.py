"""How long to wait for a broker, and how its link is told."""

import asyncio
import random
from itertools import islice

from sensor.broker_link import FIRST_PAUSE_S, LONGEST_PAUSE_S, LinkNews, pauses


def test_pauses_double_up_to_half_a_minute_and_differ_between_clients() -> None:
    longest = list(islice(pauses(lambda low, high: high), 9))
    assert longest == [0.5, 1, 2, 4, 8, 16, 30, 30, 30]
    drawn = [list(islice(pauses(random.Random(seed).uniform), 9)) for seed in range(2)]
    assert drawn[0] != drawn[1]
    for pause_s, most_s in zip(drawn[0], longest, strict=True):
        assert most_s / 2 <= pause_s <= most_s
    assert FIRST_PAUSE_S < LONGEST_PAUSE_S == 30


async def test_who_waits_is_told_each_change_once() -> None:
    link = LinkNews()
    seen: list[tuple[bool, str]] = []

    async def look() -> None:
        edition = 0
        while len(seen) < 3:
            edition = await link.news(edition)
            seen.append((link.is_up, link.why))

    looking, up = asyncio.create_task(look()), asyncio.create_task(link.up())
    for change in (lambda: link.went("no network"), link.came, lambda: link.went("lost", lasts=True)):
        await asyncio.sleep(0)
        change()
        await asyncio.sleep(0)
    async with asyncio.timeout(5):
        await looking
        await up
    assert seen == [(False, "no network"), (True, ""), (False, "lost")]
    assert link.lasts
    assert link.connections == 1


async def test_attempts_that_end_alike_are_one_piece_of_news() -> None:
    link = LinkNews()
    for _ in range(3):
        link.went("no network")
    assert await link.news() == 1
    link.went("no network", lasts=True)
    assert await link.news(1) == 2
    link.came()
    link.went("no network", lasts=True)
    assert await link.news(2) == 4


async def test_what_came_before_is_news_to_who_comes_later() -> None:
    link = LinkNews()
    link.missed(oversize=False)
    link.missed(oversize=True)
    async with asyncio.timeout(5):
        assert await link.news() == 2
    assert (link.dropped, link.oversize) == (1, 1)
