"""The keys by which a coach says something to a station: a note, a changed target, a plan."""

from __future__ import annotations

from collections.abc import Callable, Coroutine
from typing import Any, ClassVar

from textual.binding import Binding, BindingType

from tui.floor.desk import FloorDesk
from tui.screens.ask_key import AskKeyScreen
from tui.screens.ask_line import AskLineScreen
from tui.screens.ground import GroundScreen
from tui.share.tempo import TempoError, tempo_of, tempo_text
from tui.trouble import Trouble, clear_errors
from tui.widgets.canvas import Ink
from tui.widgets.key_line import Keys
from tui.widgets.lines import Lines

MOST_LETTERS = 280
"""Of a note (`share/schemas/word.1.json`)."""
REPS = (1, 100)
REST_S = (0.0, 3600.0)
WORD_KEYS: Keys = (("n", "note"), ("r", "target"), ("p", "plan"))
_SAME = "enter alone: as it is"


class FloorWords(GroundScreen[None]):
    """A screen with a station that keys are about.

    Parameters
    ----------
    desk
        Takes what is said.
    """

    DEFAULT_CSS = """
    FloorWords #said_last { height: auto; min-height: 1; max-height: 4; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("n", "note", "note"),
        Binding("r", "target", "target"),
        Binding("p", "plan", "plan"),
    ]

    def __init__(self, desk: FloorDesk) -> None:
        super().__init__()
        self.desk = desk
        self.said_line = Lines(id="said_last")
        self._told = ""

    def about(self) -> str:
        """Return the station that keys are about; empty where there is none."""
        raise NotImplementedError

    def say(self, text: str, ink: Ink = Ink.MUTED) -> None:
        """Say something above the keys, all of it, on as many lines as it takes."""
        self.said_line.text = ((text, ink),) if text else ()

    def tell(self, broker: str, trouble: str) -> None:
        """Say what is wrong, once it is, and no longer once it is over; what a key led to stands till then."""
        told = broker or trouble
        if told != self._told:
            self._told = told
            self.say(told, Ink.ATTENTION if broker else Ink.MUTED)

    def _whom(self) -> str:
        name = self.about()
        return f"{self.desk.trainee_at(name) or 'whoever trains'} at {name}"

    def action_note(self) -> None:
        """Ask for a note, and send it."""
        name = self.about()

        def take(text: str | None) -> None:
            if text:
                self.desk.note(name, text)

        if name:
            self.app.push_screen(AskLineScreen(f"Note to {self._whom()}, shown in the rest.", _note_wrong), take)

    def action_target(self) -> None:
        """Ask for reps, rest and tempo, one after another, and send what is to be otherwise."""
        name, whom = self.about(), self._whom()
        found: dict[str, str] = {}

        def ask(key: str, question: str, wrong: Callable[[str], str], then: Callable[[], None]) -> None:
            def take(text: str | None) -> None:
                if text is not None:
                    found[key] = text
                    then()

            self.app.push_screen(AskLineScreen(f"{question} ({_SAME})", wrong), take)

        def send() -> None:
            if any(found.values()):
                tempo = tempo_text(tempo_of(found["tempo"])) if found["tempo"] else None
                rest_s = float(found["rest"]) if found["rest"] else None
                self.desk.target(name, int(found["reps"]) if found["reps"] else None, rest_s, tempo)
            else:
                self.say("Nothing was changed, so nothing is sent.")

        def ask_tempo() -> None:
            ask("tempo", "Tempo, four figures: lowering bottom rise top, 2011", _tempo_wrong, send)

        def ask_rest() -> None:
            ask("rest", "Rest before each set, seconds", _rest_wrong, ask_tempo)

        if name and self.desk.is_over(name):
            self.say(f"The session of {whom} is done. What comes next is changed by the plan: edit it, then p.")
        elif name:
            ask("reps", f"Reps a set for {whom}, from the next set on", _reps_wrong, ask_rest)

    def action_plan(self) -> None:
        """Send the plan of whoever trains there; where it was changed there, too, ask which one counts."""
        if self.about():
            self._do(self._plan(self.about()))

    def _do(self, what: Coroutine[Any, Any, str]) -> None:
        """Do what takes a while, and say what came of it."""

        async def told() -> None:
            try:
                with clear_errors():
                    said = await what
            except Trouble as trouble:
                said = trouble.format_message()
            self.say(said)

        self.run_worker(told(), exit_on_error=False)

    async def _plan(self, name: str) -> str:
        plan = await self.desk.plan(name)
        if not plan.beside:
            return self.desk.send_plan(name, plan)

        def take(key: str | None) -> None:
            if key == "y":
                self.say(self.desk.send_plan(name, plan))
            elif key == "s":
                self._do(self.desk.take_plan(name))

        choices = (("y", "yours, there too"), ("s", "the station's, here too"))
        question = f"The plan of {plan.trainee} was changed at {name} and here. Which one counts?"
        beside = (*plan.differs, f"What was written there: {plan.beside}")
        self.app.push_screen(AskKeyScreen(question, choices, beside), take)
        return ""


def _note_wrong(text: str) -> str:
    return "" if len(text) <= MOST_LETTERS else f"That has {len(text)} letters; at most {MOST_LETTERS} are shown."


def _reps_wrong(text: str) -> str:
    least, most = REPS
    good = not text or (text.isascii() and text.isdigit() and least <= int(text) <= most)
    return "" if good else f"Give a whole number from {least} to {most}."


def _rest_wrong(text: str) -> str:
    least, most = REST_S
    try:
        good = not text or least <= float(text) <= most
    except ValueError:
        good = False
    return "" if good else f"Give seconds from {least:g} to {most:g}."


def _tempo_wrong(text: str) -> str:
    try:
        if text:
            tempo_of(text)
    except TempoError as error:
        said = str(error)
        return f"{said[0].upper()}{said[1:]}."
    return ""
