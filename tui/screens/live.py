"""The screen of a session that runs now."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.reactive import var

from tui.questions.interview import AskView
from tui.screens.mending import (
    MOUNT_KEYS,
    SOMEBODY_NEW,
    WHOSE,
    asked_of_a_set,
    mount_question,
    name_question,
    told_set_question,
)
from tui.screens.pick import PickScreen
from tui.screens.session import SessionScreen
from tui.screens.turn_keys import given_words, there, turn_keys
from tui.session.control import Asked, LiveControl, SoundControl, TurnControl
from tui.session.messages import Offer, Stage
from tui.views.turn_view import TurnsView
from tui.widgets.ask_panel import answer_keys
from tui.widgets.key_line import Keys

_BETWEEN = (Stage.SEARCHING, Stage.READY, Stage.REST, Stage.DONE)


class LiveScreen(SessionScreen):
    """The live screen.

    Parameters
    ----------
    control
        Takes the wishes; without one the keys for them do nothing and are not shown.
    trainees
        Whom the bar can be given to.
    has_rooms
        Whether there are rooms to go to from here.
    asked
        Takes the keys that answer its questions.
    sound
        What is heard of the session; without it the key for it does nothing and is not shown.
    turns
        Takes the wishes about whose turn it is, where the bar is shared.
    """

    DEFAULT_CSS = """
    LiveScreen NoteLine, LiveScreen KeyLine { height: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "trainee", "trainee"),
        Binding("d", "drop", "drop last set"),
        Binding("u", "take_back", "count it again"),
        Binding("a", "tell_set", "add a set"),
        Binding("w", "mount", "wrong mount"),
        Binding("o", "name", "wrong name"),
        Binding("p", "relabel", "other exercise"),
        Binding("e", "end", "end session"),
        Binding("l", "later", "later"),
        Binding("s", "skip", "sits out"),
        Binding("h", "home", "goes home"),
        Binding("m", "mute", "sound"),
        Binding("up", "scroll_text(-1)", "text up"),
        Binding("down", "scroll_text(1)", "text down"),
    ]

    ask: var[AskView | None] = var(None)

    def __init__(
        self,
        control: LiveControl | None = None,
        trainees: Sequence[str] = (),
        has_rooms: bool = False,
        asked: Asked | None = None,
        sound: SoundControl | None = None,
        turns: TurnControl | None = None,
    ) -> None:
        super().__init__()
        self._turns = turns
        self._asked = asked
        self._control = control
        self._trainees = tuple(trainees)
        self._has_rooms = has_rooms
        self._others: list[str] = []
        self.sound = sound

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.live
        yield self.note_line
        yield self.key_line

    def keys(self) -> Keys:
        """Return the keys that do something in this stage."""
        stage = self.snapshot.stage if self.snapshot else Stage.SEARCHING
        keys: list[tuple[str, str]] = []
        if self._control:
            keys += [("e", self._end)] if self._is_all_over and self._end else []
            keys += turn_keys(self._view) if stage in _BETWEEN else ()
            keys += [("t", "trainee")] if stage in _BETWEEN and len(self._trainees) > 1 else []
            keys += [("d", "drop this set" if stage is Stage.SET else "drop last set")] if self._may(Offer.DROP) else []
            keys += [("u", self._undo)] if self._undo else []
            keys += [("a", "add a set")] if self._may(Offer.TELL_SET) else []
            keys += [("p", "other exercise")] if self._is_superset() else []
            keys += [("e", self._end)] if self._end and not self._is_all_over else []
            keys += [("w", "wrong mount")] if self._may(Offer.MOUNT) else []
            keys += [("o", "wrong name")] if self._may_rename else []
        keys += [("m", "sound on" if self.sound.muted else "sound off")] if self.sound else []
        keys += [("g", "go to")] if self._has_rooms else []
        if answers := answer_keys(self.ask):
            keys = [*answers, *keys]
        return (("q", "stop" if stage is not Stage.DONE else "leave"), ("?", "help"), *keys)

    def on_mount(self) -> None:
        """Show what came before there was anything to show it on."""
        super().on_mount()
        self.watch_ask()

    def look(self) -> None:
        """Take over what is asked now."""
        self.ask = self._asked.look() if self._asked else None

    def watch_ask(self) -> None:
        """Hand the question down."""
        if self.is_ready:
            self.live.ask = self.ask
            self.key_line.keys = self.keys()

    def on_key(self, event: events.Key) -> None:
        """Let a key answer what is asked, before it means anything else."""
        if self._asked and self.ask and self._asked.press(event.key, event.character or ""):
            event.stop()
            event.prevent_default()
            self.look()

    def _may(self, offer: Offer) -> bool:
        return bool(self.snapshot and offer in self.snapshot.offers)

    @property
    def _view(self) -> TurnsView | None:
        return self.snapshot.turns if self.snapshot and self._turns else None

    @property
    def _undo(self) -> str:
        given = given_words(self._view) if self._view else ""
        return given or (self.snapshot.undo if self.snapshot else "")

    @property
    def _end(self) -> str:
        """What the key that closes the session does now, in words; empty where it does nothing."""
        if self._view and not self._view.is_closed:
            return "close all" if self._is_all_over else "all go home"
        is_done = self.snapshot is not None and self.snapshot.stage is Stage.DONE
        return "" if self._view or is_done else "end session"

    @property
    def _is_all_over(self) -> bool:
        return bool(self._view and self._view.ends)

    def _is_superset(self) -> bool:
        return bool(self.snapshot and self.snapshot.prescription.partner)

    def action_trainee(self) -> None:
        """Choose who is on the bar; before and between sets only."""
        if self._may_turn("t"):
            self._choose("Who is next?", there, lambda turns, name: turns.call(name))
            return
        if self._control is None or len(self._trainees) < 2:
            return
        if self.snapshot and self.snapshot.stage not in _BETWEEN:
            self.note = "The trainee can be changed before and between sets."
            return
        self.app.push_screen(
            PickScreen("Who is on the bar next? This session is closed.", self._trainees), self._switch
        )

    def _switch(self, index: int | None) -> None:
        if index is not None and self._control:
            self._control.switch_trainee(self._trainees[index])

    def _may_turn(self, key: str) -> bool:
        between = self.snapshot is not None and self.snapshot.stage in _BETWEEN
        return between and key in dict(turn_keys(self._view))

    def _choose(
        self, question: str, among: Callable[[TurnsView], Sequence[str]], do: Callable[[TurnControl, str], None]
    ) -> None:
        """Choose one of several by name; where there is one, it is that one."""
        names = tuple(among(self._view)) if self._view else ()

        def chosen(index: int | None) -> None:
            if index is not None and self._turns:
                do(self._turns, names[index])

        if len(names) == 1:
            chosen(0)
        elif names:
            self.app.push_screen(PickScreen(question, names), chosen)

    def action_later(self) -> None:
        """Let who is next and the one after them change places."""
        if self._turns and self._may_turn("l"):
            self._turns.one_later()

    def action_skip(self) -> None:
        """Let who is next sit out once."""
        if self._turns and self._may_turn("s"):
            self._turns.skip()

    def action_home(self) -> None:
        """Close the session of somebody who goes."""
        if self._may_turn("h"):
            self._choose("Who goes home?", there, lambda turns, name: turns.go_home(name))

    def action_drop(self) -> None:
        """Do not count the last set, or the one in progress."""
        if self._control and self._may(Offer.DROP):
            self._control.drop_last_set()

    def action_take_back(self) -> None:
        """Count the set that was left out last again, or no longer the one that was told last."""
        if self._turns and self._view and self._view.is_given and self._undo:
            self._turns.take_back()
        elif self._control and self._undo:
            self._control.take_back_set()

    def action_tell_set(self) -> None:
        """Ask how many reps, or seconds, a set had that was done without the sensor."""
        if self._control and self.snapshot and self._may(Offer.TELL_SET):
            self.app.push_screen(told_set_question(self.snapshot.prescription), self._tell_set)

    @property
    def _may_rename(self) -> bool:
        return self._may(Offer.NAME) and not (self.snapshot and self.snapshot.turns)

    def action_name(self) -> None:
        """Choose whose session this is, among those known, or type a name."""
        if self._view and self._may_turn("o"):
            question = f"Whose was the set that was taken for {self._view.last}'s?"
            self._choose(question, lambda view: view.takers, lambda turns, name: turns.give_last_set(name))
            return
        if self._control and self.snapshot and self._may_rename:
            self._others = [name for name in self._trainees if name != self.snapshot.trainee]
            self.app.push_screen(PickScreen(WHOSE, [*self._others, SOMEBODY_NEW]), self._take_name)

    def _take_name(self, index: int | None) -> None:
        if index is None:
            return
        if index < len(self._others):
            self._rename(self._others[index])
        else:
            self.app.push_screen(name_question(), self._rename)

    def _rename(self, name: str | None) -> None:
        if name is not None and self._control:
            self._control.give_session(name)

    def action_mount(self) -> None:
        """Choose where the sensor sits, by one key."""
        if self._control and self.snapshot and self._may(Offer.MOUNT):
            self.app.push_screen(mount_question(self.snapshot.prescription.exercise.mount), self._mount)

    def _mount(self, key: str | None) -> None:
        if key is not None and self._control:
            self._control.wear_on(MOUNT_KEYS[key])

    def _tell_set(self, typed: str | None) -> None:
        if typed is not None and self._control and self.snapshot:
            self._control.tell_set(int(typed or asked_of_a_set(self.snapshot.prescription)))

    def action_relabel(self) -> None:
        """Take the last set of a superset for the other exercise's; of a shared bar's, its last reps for another's."""
        if self._turns and self._may_turn("p"):
            self._turns.part_set()
        elif self._control and self._is_superset():
            self._control.relabel_last_set()

    def action_mute(self) -> None:
        """Let nothing be heard, or let it be heard again."""
        if self.sound:
            self.sound.mute()
            self.note = "Sound is off." if self.sound.muted else "Sound is on."
            self.key_line.keys = self.keys()

    def action_end(self) -> None:
        """Close the session here."""
        if self._control and self.snapshot and self._end:
            self._control.end_session()
