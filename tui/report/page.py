"""The page of a report: its head, its look, and what its words mean."""

from __future__ import annotations

from collections.abc import Sequence
from string import Template

from tui.palette import LIGHT
from tui.report.markup import Markup, bullets, element, section

_STYLE = Template("""
:root { color-scheme: light; }
body { margin: 0 auto; max-width: 62rem; padding: 1rem; font: 1rem/1.45 system-ui, sans-serif;
  color: $ink; background: $ground; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; } h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; }
h3 { font-size: 1rem; margin: 1.2rem 0 .2rem; } p, ul { margin: .3rem 0; } ul { padding-left: 1.2rem; }
.quiet { color: $muted; } .wide { overflow-x: auto; }
.pair { display: grid; grid-template-columns: 1fr 1fr; gap: 0 1.6rem; } .pair > * { min-width: 0; }
table { border-collapse: collapse; font-variant-numeric: tabular-nums; }
th, td { padding: .15rem .7rem .15rem 0; text-align: left; vertical-align: top; border-bottom: 1px solid $muted;
  white-space: nowrap; } th { white-space: normal; } td:last-child { white-space: normal; min-width: 6rem; }
figure { margin: .4rem 0; } figcaption { color: $muted; font-size: .9rem; }
svg { display: block; width: 100%; height: auto; stroke-linejoin: round; } svg.small { width: 14rem; }
svg text { font-family: system-ui, sans-serif !important; } figure.plot svg { background: #fff; }
dt { font-weight: 600; } dd { margin: 0 0 .4rem; }
@media (max-width: 600px) { .pair { grid-template-columns: 1fr; } body { padding: .6rem; }
  table { font-size: .85rem; } th, td { padding-right: .5rem; } }
@media print { body { color: #000; background: #fff; max-width: none; padding: 0; font-size: 10pt; }
  .quiet, figcaption { color: #333; } .hill { fill: #999; } .frayed { stroke: #555; }
  .wide { overflow: visible; } table { font-size: 8.5pt; }
  svg.small { width: 8rem; } figure, tr, dt, dd { break-inside: avoid; } h2, h3 { break-after: avoid; } }
""")

WORDS = (
    (
        "hill",
        "A rep: the left flank is the way up, the flat top the hold, the right flank the way down. The rep as "
        "prescribed stands behind it, dotted. A dashed outline: a part of it was not measured.",
    ),
    ("× ? ½ –", "Under a hill: missed, unsure, partial and not counted, not measurable. Nothing: met."),
    ("met, missed", "Inside or outside the tolerance by more than twice the measurement's own uncertainty."),
    ("unsure", "The uncertainty reaches over the edge of the tolerance."),
    ("not measurable", "The sensor could not see it from where it sat: neither met nor missed."),
    ("±", "One standard deviation of the measurement itself, in tables; in plots the bars are two."),
    ("tempo", "Its digits are lowering, bottom, rise, top: seconds, or X for as quick as can be."),
    ("time under tension", "From the start of each rep to its end, pauses at the bottom left out."),
    ("rung, ladder", "An exercise, and their order from the easiest up. A rung is climbed by steps, one a week."),
    ("exertion", "How hard the whole session was, from 0 to 10, as told (rating of perceived exertion, RPE)."),
)


def phase_head(name: str) -> str:
    """Return what a column or an axis calls a phase."""
    return "half-way" if name == "half" else name


def page(title: str, *parts: Markup) -> str:
    """Return the whole page.

    Parameters
    ----------
    title
        Its heading, and its name in a window.
    parts
        What comes after the heading.
    """
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", http_equiv="Content-Security-Policy", content="default-src 'none'; style-src 'unsafe-inline'"),
        element("title", title),
        element("style", Markup(_look())),
    )
    body = element("body", element("h1", title), *parts, _words())
    return f"<!DOCTYPE html>\n{element('html', head, body, lang='en')}\n"


def _look() -> str:
    return _STYLE.substitute(ink=LIGHT.foreground, ground=LIGHT.background, muted=LIGHT.secondary)


def _words() -> Markup:
    told = [(element("dt", word), element("dd", meaning)) for word, meaning in WORDS]
    return section("Words", element("dl", *told))


def cautions(lines: Sequence[str]) -> Markup:
    """Return what to be careful of, and that it is no medical advice."""
    return section("Mind", bullets(("General information, not medical advice.", *lines)))


def plotted(plot: Markup, caption: str) -> Markup:
    """Return a plot with its caption; nothing of no plot."""
    return element("figure", plot, element("figcaption", caption), cls="plot") if plot else Markup("")
