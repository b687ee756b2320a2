"""A live control, and one of a shared bar, for the tests of the screens."""

from __future__ import annotations

from analysis.motion.mounts import Mount


class Wishes:
    """A live control that only remembers; `on_stop` is called when the session should leave."""

    def __init__(self) -> None:
        self.heard: list[str] = []
        self.on_stop = lambda: None

    def stop(self) -> None:
        self.heard.append("stop")
        self.on_stop()

    def end_session(self) -> None:
        self.heard.append("end")

    def switch_trainee(self, name: str) -> None:
        self.heard.append(f"trainee {name}")

    def drop_last_set(self) -> None:
        self.heard.append("drop")

    def take_back_set(self) -> None:
        self.heard.append("take back")

    def give_session(self, name: str) -> None:
        self.heard.append(f"all {name}")

    def wear_on(self, mount: Mount) -> None:
        self.heard.append(f"on {mount}")

    def tell_set(self, count: int) -> None:
        self.heard.append(f"told {count}")


class TurnKeys:
    """Takes the wishes of the keys and remembers them."""

    def __init__(self) -> None:
        self.asked: list[str] = []

    def one_later(self) -> None:
        self.asked.append("later")

    def skip(self) -> None:
        self.asked.append("skip")

    def call(self, name: str) -> None:
        self.asked.append(f"call {name}")

    def go_home(self, name: str) -> None:
        self.asked.append(f"home {name}")

    def give_last_set(self, name: str) -> None:
        self.asked.append(f"give {name}")

    def take_back(self) -> None:
        self.asked.append("take back")

    def part_set(self) -> None:
        self.asked.append("part")
