"""A question at the screen: whole before the first set, on a few lines at the foot of the screen later."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import VerticalScroll

from tui.questions.interview import NO, TEN, YES, AskView, Kind, Question
from tui.session.messages import Snapshot
from tui.widgets.block_digits import BlockText
from tui.widgets.canvas import Ink
from tui.widgets.drawing import Column
from tui.widgets.key_line import Keys
from tui.widgets.lines import Lines, Text
from tui.words.format import prescription_line

_MEANWHILE = "Hang whenever you like: the set counts, and what is open is asked in the rest."
_LEAVE = "What you said is in the log. q leaves."


def answer_keys(ask: AskView | None) -> Keys:
    """Return the keys that answer what is asked."""
    question = ask.question if ask else None
    if ask is None or question is None:
        return ()
    keys = _keys_of(question)
    usual = () if question.needed else (("enter", "take" if ask.typed else "as it is" if question.usual else "skip"),)
    return (*keys, *usual, *((("⌫", "back"),) if ask.told or ask.typed else ()))


def _keys_of(question: Question) -> Keys:
    match question.kind:
        case Kind.LEVEL:
            return (("0-9", "answer"), (TEN, "10"))
        case Kind.YES_NO:
            return ((YES, "yes"), (NO, "no"))
        case Kind.CHOICE:
            return ((f"1-{len(question.choices)}", "answer"),)
        case Kind.NUMBER | Kind.TEXT:
            return (("…", "type it"),)


def question_text(ask: AskView) -> Text:
    """Return the question, what to know before answering, what was typed, and the answers before."""
    question = ask.question
    lines: list[tuple[str, Ink]] = []
    if question:
        typed = f"  {ask.typed}▏" if question.kind in (Kind.NUMBER, Kind.TEXT) else ""
        lines.append((f"{question.text}{typed}", Ink.STRONG))
        lines += [(choice_line(question.choices), Ink.TEXT)] if question.choices else []
        lines += [(ask.amiss, Ink.ATTENTION)] if ask.amiss else []
        lines += [(question.note, Ink.MUTED)] if question.note else []
    lines += [(" · ".join(ask.told), Ink.MUTED)] if ask.told else []
    return tuple(lines)


def choice_line(choices: tuple[str, ...]) -> str:
    """Return the choices with their numbers; none is broken between lines within itself."""
    return "   ".join(
        f"{number} {choice}".replace(" ", "\N{NO-BREAK SPACE}") for number, choice in enumerate(choices, 1)
    )


def follows_text(ask: AskView) -> Text:
    """Return what follows from the answers."""
    ink = Ink.ATTENTION if ask.stopped else Ink.TEXT
    return tuple((line, ink) for line in ask.follows)


def before_text(ask: AskView, snapshot: Snapshot | None) -> Text:
    """Return all that is below the question before a session: what follows, today's prescription, what to mind."""
    blank = ("", Ink.BLANK)
    if ask.stopped:
        return (*follows_text(ask), blank, (_LEAVE, Ink.TEXT))
    asked: Text = () if snapshot is None else _prescribed(snapshot)
    return (*follows_text(ask), *asked, *(((_MEANWHILE, Ink.MUTED),) if snapshot else ()))


def _prescribed(snapshot: Snapshot) -> Text:
    cues = snapshot.prescription.exercise.cues
    return (
        (f"Today: {prescription_line(snapshot.prescription)}", Ink.STRONG),
        *((cue, Ink.TEXT) for cue in cues),
        *((caution, Ink.TEXT) for caution in snapshot.cautions),
    )


class AskPanel(Column):
    """The question with all that belongs to it; the arrow keys scroll what is longer than the screen."""

    SCOPED_CSS = False  # the height of the screen decides, and the screen is outside
    DEFAULT_CSS = """
    AskPanel { height: 1fr; }
    AskPanel #ask-title { height: 3; margin: 1 0 0 2; }
    AskPanel #ask { height: auto; margin: 1 1 0 1; }
    AskPanel VerticalScroll { height: 1fr; margin: 1 1 0 1; }
    AskPanel Lines { height: auto; }
    .-tall AskPanel #ask-title, .-huge AskPanel #ask-title { height: 5; }
    .-low AskPanel #ask-title { height: 1; margin: 0 0 0 2; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.title = BlockText(id="ask-title")
        self.question = Lines(id="ask")
        self.below = Lines()

    def compose(self) -> ComposeResult:
        """Lay the parts out."""
        yield self.title
        yield self.question
        yield VerticalScroll(self.below, can_focus=False)

    def show(self, ask: AskView, snapshot: Snapshot | None) -> None:
        """Show what is asked, over what is known of the session."""
        self.title.text = "NO SESSION TODAY" if ask.stopped else ask.title.upper()
        self.question.text = question_text(ask)
        self.below.text = before_text(ask, snapshot)


class AskStrip(Lines):
    """The same on a few lines, below what is shown of a session."""

    DEFAULT_CSS = "AskStrip { height: auto; max-height: 9; margin: 1 1 0 1; }"

    def show(self, ask: AskView) -> None:
        """Show what is asked and what follows."""
        self.text = (*question_text(ask), *follows_text(ask)) if ask.stopped or ask.question else ()
