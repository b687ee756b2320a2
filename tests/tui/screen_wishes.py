"""A live control for the tests of the screens."""

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
