"""What somebody is to say before training goes on, as the command that says it."""

from __future__ import annotations

from collections.abc import Iterator

from analysis.training.decision import Awaits
from analysis.training.progression import NextSession

_WHEN = {
    Awaits.SETTLED: "once pain is 3 or less, and was so overnight",
    Awaits.RELEASE: "once coach or clinician allow it",
    Awaits.CLINICIAN: "once a clinician allows it",
    Awaits.FORM: "once form was looked at",
}
_OPTIONS = {
    Awaits.SETTLED: "--pain N",
    Awaits.RELEASE: "--release coach --by NAME (or clinician)",
    Awaits.CLINICIAN: "--release clinician --by NAME",
    Awaits.FORM: "--blades yes --back yes --by NAME (or --self-seen)",
}


def awaited_lines(proposal: NextSession, name: str) -> Iterator[str]:
    """Yield how to say what a proposal waits for; nothing where it waits for nothing."""
    if proposal.awaits is not None:
        yield f'{_WHEN[proposal.awaits]}: rungwise tell "{name}" {_OPTIONS[proposal.awaits]}'
