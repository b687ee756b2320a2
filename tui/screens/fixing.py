"""Asks what to correct, why, and who says so: one key each, text only where a number or a name is wanted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any

from analysis.training.corrections import BECAUSE_WORDS, KEYS, Because, By
from analysis.training.superset import SetKind
from tui.book.correcting import Teller, Wish
from tui.book.giving import Somebody
from tui.mending import fixes
from tui.mending.fixes import Fix
from tui.screens.ask_key import AskKeyScreen, Choice
from tui.screens.ask_line import AskLineScreen
from tui.screens.mending import SOMEBODY_NEW, name_question
from tui.screens.pick import PickScreen
from tui.views.check_view import CheckRep, CheckSet, CheckView, Speaker

if TYPE_CHECKING:
    from tui.app import RungwiseApp

WHO = Fix("i", "somebody else corrects", "")
"""Changes who says so, and asks again."""
_MOST = {"count": (0, 999), "load": (-300, 300)}
"""What may be typed, as for `rungwise correct`."""


def fixes_of(view: CheckView, done: CheckSet | None, rep: CheckRep | None) -> Iterator[Fix]:
    """Yield what can be corrected of what is marked, in the order in which it is listed."""
    if rep is not None and done is not None:
        last = rep.number == len(done.reps)
        yield from (one for one in fixes.OF_REP if one.act != "merge" or not last)
    if done is not None:
        counts = done.kind is SetKind.EXERCISE
        of_set = (one for one in fixes.OF_SET if counts and not (one.act == "count" and done.verdict.held))
        yield from (*of_set, *fixes.OF_ANY_SET)
        if len(view.sets) > 1:
            yield fixes.ALL_LOADS
    if view.unconfirmed:
        yield fixes.CONFIRM
    yield WHO


class Fixing:
    """One correction, asked for step by step.

    Parameters
    ----------
    app
        Where the questions are shown.
    speaker
        Who corrects; asked for once, then remembered.
    """

    def __init__(self, app: RungwiseApp, view: CheckView, speaker: Speaker) -> None:
        self._app, self._view, self._speaker = app, view, speaker

    async def ask(self, done: CheckSet | None, rep: CheckRep | None) -> tuple[Wish, Teller] | None:
        """Return what to correct and who says so why; None where somebody went back."""
        if not self._speaker.is_known(self._view.trainee) and not await self._ask_who():
            return None
        chosen = await self._ask_fix(done, rep)
        while chosen is WHO:
            await self._ask_who()
            chosen = await self._ask_fix(done, rep)
        if chosen is None:
            return None
        wish = await self._wish(chosen, done, rep)
        teller = await self.teller(wish.act) if wish else None
        return (wish, teller) if wish and teller else None

    async def teller(self, act: str) -> Teller | None:
        """Return who says so, and why; None where somebody went back."""
        if act == "confirm" and self._speaker.role is not By.COACH and not await self._ask_coach():
            return None
        if not self._speaker.is_known(self._view.trainee) and not await self._ask_who():
            return None
        if act in fixes.UNREASONED:
            return self._said(Because(fixes.UNREASONED[act]), "")
        key = await self._key("Why?", [(key, BECAUSE_WORDS[reason]) for key, reason in KEYS.items()])
        if key is None:
            return None
        text: str | None = ""
        if KEYS[key] is Because.OTHER:
            text = await self._line("Why? In your own words; nothing is fine, too.", lambda _: "")
        return None if text is None else self._said(KEYS[key], text)

    def _said(self, reason: Because, text: str) -> Teller:
        return Teller(self._speaker.name, self._speaker.role, reason, text)

    async def _key(self, question: str, choices: Sequence[Choice], beside: Sequence[str] = ()) -> str | None:
        return await self._app.push_screen_wait(AskKeyScreen(question, choices, beside))

    async def _line(self, question: str, wrong: Any) -> str | None:
        return await self._app.push_screen_wait(AskLineScreen(question, wrong))

    async def _ask_who(self) -> bool:
        choices = [("t", f"{self._view.trainee}, who trained"), ("c", "a coach")]
        beside = ("What only the trainee says counts, but opens no step up before the coach says it too.",)
        key = await self._key("Who corrects?", choices, beside)
        if key == "c":
            return await self._ask_coach()
        if key == "t":
            self._speaker.name, self._speaker.trainee = None, self._view.trainee
        return key is not None

    async def _ask_coach(self) -> bool:
        name = await self._line("Name of the coach", self._no_coach)
        if name:
            self._speaker.name = name
        return bool(name)

    def _no_coach(self, name: str) -> str:
        if name.casefold() == self._view.trainee.casefold():
            return "That is who trained: the coach is somebody else."
        return "" if name else "A name is needed."

    async def _ask_fix(self, done: CheckSet | None, rep: CheckRep | None) -> Fix | None:
        there = list(fixes_of(self._view, done, rep))
        names = {
            "rep": rep.number if rep else 0,
            "next": rep.number + 1 if rep else 0,
            "set": done.name if done else "",
        }
        who = f"{self._speaker.name}, as the coach," if self._speaker.name else self._view.trainee
        beside = (f"{who} says so. What was measured is kept, and u takes it back.",)
        key = await self._key("Correct", [(one.key, one.words.format(**names)) for one in there], beside)
        return next((one for one in there if one.key == key), None)

    async def _wish(self, fix: Fix, done: CheckSet | None, rep: CheckRep | None) -> Wish | None:
        if fix is fixes.CONFIRM:
            return Wish("confirm")
        assert done is not None  # nothing else is offered without a set
        if rep is not None and fix in fixes.OF_REP:
            given = await self._given(fix, done) if fix.act == "kind" else 0.0
            return None if given is None else Wish(fix.act, given, done.name, _reps(fix, rep))
        given = await self._given(fix, done)
        return None if given is None else Wish(fix.act, given, None if fix is fixes.ALL_LOADS else done.name)

    async def _given(self, fix: Fix, done: CheckSet) -> Any:
        """Ask for what goes with it; None where somebody went back."""
        match fix.act:
            case "kind":
                return await self._one_of("Of which kind was it?", fixes.KINDS, fix.act)
            case "relabel":
                return await self._one_of("What was the set?", tuple(fixes.SETS), fix.act)
            case "count":
                return await self._number(f"How many reps were in set {done.name}?", fix.act)
            case "load":
                return await self._number("Load in kg, help as a negative number", fix.act)
            case "give":
                people = self._view.people
                chosen = await self._app.push_screen_wait(PickScreen("Whose set was it?", [*people, SOMEBODY_NEW]))
                if chosen == len(people):
                    name = await self._app.push_screen_wait(name_question())
                    return None if name is None else Somebody(name)
                return None if chosen is None else people[chosen]
            case _:
                return True

    async def _one_of(self, question: str, names: Sequence[str], act: str) -> Any:
        key = await self._key(question, [(str(n), name.replace("-", " ")) for n, name in enumerate(names, start=1)])
        return None if key is None else fixes.meant(act, names[int(key) - 1])

    async def _number(self, question: str, act: str) -> float | None:
        low, high = _MOST[act]

        def wrong(text: str) -> str:
            kind = "a whole number" if act == "count" else "a number"
            return "" if _in_range(text, act, low, high) else f"Give {kind} from {low} to {high}."

        text = await self._line(question, wrong)
        return None if text is None else _numeral(text, act)


def _numeral(text: str, act: str) -> float:
    return int(text) if act == "count" else float(text.replace(",", "."))


def _in_range(text: str, act: str, low: float, high: float) -> bool:
    with suppress(ValueError):
        return low <= _numeral(text, act) <= high
    return False


def _reps(fix: Fix, rep: CheckRep) -> tuple[int, ...]:
    if fix.act == "merge":
        return rep.number, rep.number + 1
    return (rep.number - 1,) if fix.key == fixes.BEFORE else (rep.number,)
