"""The commands that take the logbook out and in: parses, and hands over."""

from __future__ import annotations

from pathlib import Path

import click

from tui.commands.options import one_name, trainee_argument, trainee_option
from tui.home import Home


@click.command(
    short_help="Write what the logbook holds, for other programs.",
    epilog="\b\nExamples:\n"
    "  rungwise export --format json --out team.json\n"
    '  rungwise export "Jonas Reiter" --format csv --out jonas\n'
    '  rungwise export "Jonas Reiter" --format ics --out jonas.ics\n'
    "  rungwise export --format motion --session 3f2a --out session.csv.gz\n"
    "  rungwise export --columns\n\n"
    "--columns lists every column with its unit; tui/book/EXPORT.md in the project holds the same.",
)
@trainee_argument
@trainee_option
@click.option(
    "--format",
    "form",
    type=click.Choice(("csv", "json", "ics", "motion")),
    default="json",
    show_default=True,
    help="csv: a folder of tables; json: everything, for rungwise import; ics: the coming sessions for a calendar; "
    "motion: the raw motion of one session.",
)
@click.option(
    "--out", type=click.Path(path_type=Path), metavar="DIR|FILE", help="Where to: a folder for csv, else a file."
)
@click.option("--session", metavar="ID", help="First letters of a session's id, or a recording: for motion.")
@click.option("--columns", is_flag=True, help="Only list the columns of the tables, with units.")
@click.pass_obj
def export(
    home: Path | None,
    trainee: str | None,
    named: str | None,
    form: str,
    out: Path | None,
    session: str | None,
    columns: bool,
) -> None:
    """Write what the logbook holds, of one trainee or of everybody, for other programs.

    Nothing is overwritten, but for a calendar that an earlier export made.
    """
    if columns:
        from tui.book.columns import columns_text

        click.echo(columns_text())
        return
    from tui.book.export import export as write
    from tui.book.moments import here_now

    if out is None:
        raise click.UsageError("--out says where to write: a folder for csv, else a file")
    if session and form != "motion":
        raise click.UsageError("--session goes with --format motion only")
    name = one_name(trainee, named)
    write(home or Home.default().folder, form, out, trainee=name, session=session, now=here_now())


@click.command(
    "import",
    short_help="Read back an export, or past training from a table.",
    epilog="\b\nExamples:\n"
    "  rungwise import team.json --dry-run\n"
    "  rungwise import team.json\n"
    "  rungwise import jonas\n"
    '  rungwise import notebook.csv --trainee "Jonas Reiter"\n\n'
    "\b\nA table has a header and one session a line, for example:\n"
    "  date,sets,rest_s,rpe\n"
    '  2026-01-12,"15,15,13",90,7\n\n'
    "Further columns: trainee, rung, exercise, grip, load_kg, pain, where, minutes, seen_by, note (EXPORT.md).",
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--trainee", metavar="NAME", help="Whose it is, where the file does not say or says another name.")
@click.option("--dry-run", is_flag=True, help="Only tell what would be added.")
@click.pass_obj
def import_command(home: Path | None, file: Path, trainee: str | None, dry_run: bool) -> None:
    """Read back an export (json, or the folder of csv), or past training from a table (csv): all of it or nothing.

    What is in the logbook already is not added again. The tables of an export do not carry everything: EXPORT.md.
    """
    from tui.book.import_ import take_in
    from tui.book.moments import here_now

    take_in(home or Home.default().folder, file, trainee=trainee, dry_run=dry_run, now=here_now())


@click.command(
    short_help="Write a session or a trainee as one page to mail.",
    epilog="\b\nExamples:\n"
    "  rungwise report 3f2a --out 2026-03-02.html\n"
    '  rungwise report "Jonas Reiter" --out jonas.html',
)
@click.argument("of", metavar="SESSION|TRAINEE")
@click.option(
    "--out", type=click.Path(path_type=Path), metavar="FILE.html", required=True, help="Where to: a new file."
)
@click.pass_obj
def report(home: Path | None, of: str, out: Path) -> None:
    """Write a session (first letters of its id, as rungwise log shows it) or a trainee as one HTML file.

    It holds tables, drawings and plots and loads nothing, so it can be mailed, read on a phone and printed in grey. The
    plots need matplotlib: pip install 'rungwise[report]'. Nothing is overwritten.
    """
    from tui.book.moments import here_now
    from tui.book.report import write_report

    write_report(home or Home.default().folder, of, out, now=here_now())
