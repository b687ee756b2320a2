"""`rungwise correct`: parses, and hands over."""

from __future__ import annotations

import re
import sys
from typing import Any

import click

from tui.commands.options import Number, Numbers
from tui.home import Home
from tui.mending.fixes import KINDS, SETS, UNREASONED, meant

OF_SESSION = ("undo", "confirm", "analyse_again")
OF_REPS = ("add_rep", "drop_rep", "merge", "split", "kind")
"""What is about the whole session, and about reps; the others are about a set."""


class Reason(click.ParamType[str]):
    """A reason by its word or by its key."""

    name = "reason"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the word, or fail with what there is."""
        from analysis.training.corrections import KEYS, Because

        if value not in KEYS and value not in list(Because):
            self.fail(f"{value!r} is none; give one of: {_reasons()}.", param, ctx)
        return KEYS[value].value if value in KEYS else str(value)


class SetName(click.ParamType[str]):
    """The name of a set, as the list of a session has it: 2, w1 (warm-up), p1 (another exercise), o1 (another's)."""

    name = "set"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the name, or fail."""
        if re.fullmatch("[opw]?[1-9][0-9]{0,2}", str(value), re.ASCII):
            return str(value)
        return self.fail(f"{value!r} names no set; give for example 2, or w1 for a warm-up.", param, ctx)


def _reasons() -> str:
    from analysis.training.corrections import KEYS

    return ", ".join(f"{key} {reason.value}" for key, reason in KEYS.items())


def somebody_is_there() -> bool:
    """Tell whether a person can be asked."""
    return sys.stdin.isatty()


def _asked() -> str:
    """Ask for the reason by one key; where nobody can be asked, say how to give it."""
    from analysis.training.corrections import BECAUSE_WORDS, KEYS

    if not somebody_is_there():
        raise click.UsageError(f"say why: --reason with one of: {_reasons()}")
    for key, reason in KEYS.items():
        click.echo(f"  {key}  {BECAUSE_WORDS[reason]}", err=True)
    click.echo("why? ", nl=False, err=True)
    while (key := click.getchar(echo=True)) not in KEYS:
        click.echo(f"\n{key!r} is none of these keys. why? ", nl=False, err=True)
    click.echo("", err=True)
    return KEYS[key].value


@click.command(
    epilog="\b\nExamples:\n"
    "  rungwise correct 3f2a\n"
    "  rungwise correct 3f2a --set 2 --rep 7 --drop-rep --reason not-a-rep --by Ada --role coach\n"
    "  rungwise correct 3f2a --set 1 --rep 4 --add-rep --reason missed\n"
    "  rungwise correct 3f2a --set 1 --reps 3,4 --merge --reason one-as-two\n"
    "  rungwise correct 3f2a --set 1 --rep 3 --split --reason two-as-one\n"
    "  rungwise correct 3f2a --set 1 --rep 5 --kind partial --reason not-full\n"
    "  rungwise correct 3f2a --set 1 --count 14 --reason typed-wrong\n"
    "  rungwise correct 3f2a --load 7.5 --reason typed-wrong\n"
    "  rungwise correct 3f2a --set 1 --relabel warm-up --reason other\n"
    '  rungwise correct 3f2a --set 3 --give "Jonas Reiter"\n'
    "  rungwise correct 3f2a --undo"
)
@click.argument("session", required=False, metavar="SESSION")
@click.option("--set", "set_name", type=SetName(), metavar="N", help="Of which set, as listed: 2, w1, p1, o1.")
@click.option(
    "--rep",
    "--reps",
    "reps",
    type=Numbers(0, 999, whole=True),
    default=(),
    metavar="N[,M]",
    help="Of which rep, or which two, by the numbers that are listed without any other option.",
)
@click.option("--add-rep", is_flag=True, help="A rep is missing: after --rep N (0: before the first), or at the end.")
@click.option("--drop-rep", is_flag=True, help="It was no rep.")
@click.option("--merge", is_flag=True, help="Two reps that follow each other were one.")
@click.option(
    "--split", type=Number(min=0, max=600), is_flag=False, flag_value=0.0, metavar="[S]",
    help="One rep was two, cut S seconds after its start; without a number, in its middle.",
)  # fmt: skip
@click.option("--kind", type=click.Choice(KINDS), help="Of which kind the rep was.")
@click.option("--count", type=click.IntRange(0, 999), metavar="N", help="So many reps were in the set.")
@click.option("--load", type=Number(min=-300, max=300), metavar="KG", help="Load of the set, or without --set of all.")
@click.option("--relabel", type=click.Choice(list(SETS)), help="What the set was instead.")
@click.option("--give", metavar="NAME", help="The set was this trainee's: two may have shared the bar.")
@click.option("--drop-set", is_flag=True, help="The set does not count; --undo gives it back.")
@click.option(
    "--undo", is_flag=False, flag_value="", metavar="[ID]", help="Undo a correction; without an ID, the last."
)
@click.option("--confirm", is_flag=True, help="Say as the coach what the trainee corrected.")
@click.option("--analyse-again", is_flag=True, help="Analyse the recording anew; the old answer is kept too.")
@click.option("--reason", type=Reason(), metavar="KEY", help="Why: a word or its key; without it you are asked.")
@click.option("--text", default="", help="More about it, in your own words.")
@click.option("--by", metavar="NAME", help="Who says so; by default the trainee.")
@click.option("--role", type=click.Choice(("coach", "trainee")), default="trainee", show_default=True, help="As what.")
@click.option("--list", "only_list", is_flag=True, help="List sets, reps and corrections; so does no option at all.")
@click.option("--json", "as_json", is_flag=True, help="Print the session as JSON (rungwise.session/1).")
@click.pass_context
def correct(
    context: click.Context,
    /,
    session: str | None,
    set_name: str | None,
    reps: tuple[int, ...],
    reason: str | None,
    text: str,
    by: str | None,
    role: str,
    only_list: bool,
    as_json: bool,
    **acts: Any,
) -> None:
    """Correct what was counted. What was measured is kept beside it, and every correction can be undone.

    SESSION is the first letters of a session's id, as `rungwise log` shows it. Verdict and next session follow what
    stands then. What only the trainee says counts, but opens no gate to the next rung before the coach says it too.
    """
    from analysis.training.corrections import Because, By
    from tui.book.correct import correct_session, show_session
    from tui.book.correcting import Teller, Wish

    folder = context.obj or Home.default().folder
    wished = {name: given for name, given in acts.items() if given is not None and given is not False}
    if session is None:
        raise click.UsageError("name a session by the first letters of its id; rungwise log lists them")
    _check(list(wished), role, by, only_list=only_list, told=bool(reason or text or by))
    _check_place(next(iter(wished), ""), set_name, reps)
    if not wished:
        show_session(folder, session, as_json=as_json)
        return
    ((act, given),) = wished.items()
    teller = Teller(by, By(role), Because(reason or UNREASONED.get(act) or _asked()), text)
    correct_session(folder, session, Wish(act, meant(act, given), set_name, reps), teller, as_json=as_json)


def _check(acts: list[str], role: str, by: str | None, *, only_list: bool, told: bool) -> None:
    names = [f"--{name.replace('_', '-')}" for name in (*acts, *(["list"] if only_list else []))]
    if len(names) > 1:
        raise click.UsageError(f"one at a time: {' and '.join(names)} are given together")
    if told and not acts:
        raise click.UsageError("say what to correct, for example --set 2 --count 14")
    if "confirm" in acts and role != "coach":
        raise click.UsageError("only the coach can confirm: --role coach --by NAME")
    if role == "coach" and by is None and acts:
        raise click.UsageError("name the coach: --by NAME")


def _check_place(act: str, set_name: str | None, reps: tuple[int, ...]) -> None:
    name = f"--{act.replace('_', '-')}"
    if reps and act not in OF_REPS:
        raise click.UsageError(f"{name} is about no rep: leave out --rep" if act else "say what the rep was")
    if set_name and act in OF_SESSION:
        raise click.UsageError(f"{name} is about the whole session: leave out --set")
