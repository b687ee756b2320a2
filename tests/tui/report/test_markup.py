"""Markup and drawings of the report. Paths were worked out by hand: 40 units a second, 90 high, 2 % to spare."""

from __future__ import annotations

import re

from tui.report.markup import element, table, together
from tui.report.ridge_svg import ridge_svg, small_ridges_svg
from tui.session.messages import Hill

UNKNOWN = Hill(up_s=None, top_s=None, down_s=None, bottom_s=None)
TARGET = Hill(up_s=1.0, top_s=1.0, down_s=2.0, bottom_s=0.0)


def paths(svg: str, cls: str) -> list[str]:
    (group,) = re.findall(rf'<g class="{cls}".*?</g>', svg)
    return re.findall(r' d="([^"]*)"', group)


def test_text_is_escaped_and_markup_is_not_escaped_twice() -> None:
    inner = element("b", '1 < 2 & "3"')
    assert inner == "<b>1 &lt; 2 &amp; &quot;3&quot;</b>"
    assert together("<", inner, ["&", inner]) == f"&lt;{inner}&amp;{inner}"
    assert element("p", "x", cls='"><script>') == '<p class="&quot;&gt;&lt;script&gt;">x</p>'
    assert element("path", d="M0 0", stroke=None) == '<path d="M0 0"/>'
    assert "<td>&lt;i&gt;</td>" in table(("a",), [("<i>",)])


def test_a_hill_is_drawn_over_its_target_in_seconds() -> None:
    svg = ridge_svg((Hill(up_s=2.0, top_s=0.0, down_s=1.0, bottom_s=0.5, height=0.5),), TARGET, "one")
    assert paths(svg, "hill") == ["M0 90L80 45.9L80 45.9L120 90L140 90"]
    assert paths(svg, "target")[1] == "M0 90L40 1.8L80 1.8L160 90"


def test_what_was_not_measured_is_an_outline_and_what_is_unknown_a_gap() -> None:
    svg = ridge_svg((Hill(up_s=1.0, top_s=None, down_s=2.0, bottom_s=0.0), UNKNOWN), TARGET, "x")
    assert (len(paths(svg, "hill")), len(paths(svg, "frayed"))) == (0, 1)
    assert len(paths(svg, "target")) == 3  # the ground, and a target at the gap, too


def test_a_long_set_is_drawn_to_the_width_and_never_beyond() -> None:
    svg = ridge_svg((TARGET,) * 50, TARGET, "fifty")
    xs = [
        float(x)
        for path in (*paths(svg, "hill"), *paths(svg, "target")[1:])
        for x in re.findall(r"[ML]([\d.]+) ", path)
    ]
    assert max(xs) == 640.0


def test_small_hills_leave_room_between_sets() -> None:
    svg = small_ridges_svg([((TARGET,), TARGET), ((TARGET,), TARGET)], "two")
    (path,) = re.findall(r' d="([^"]*)"', svg)
    # 8 units a second: four seconds are 32 units, then 12 of room.
    assert path.split("M")[1:] == ["0 16L8 0.3L16 0.3L32 16", "44 16L52 0.3L60 0.3L76 16"]
