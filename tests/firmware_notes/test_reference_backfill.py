"""The program's own link logic with the reference firmware at the other end: what is asked for, what comes of it."""

import pytest
from interpreters import BOTH, run

from sensor.assembly import Assembler, Block, Lost
from sensor.backfill import BackFill
from sensor.protocol import Resend, decode_command
from sensor.source import Arrival, Channel


def heard(outcome):
    """(seconds, channel, payload) in order of arrival: the information at each connection, the packets."""
    for at_us, text in outcome["reads"]:
        if len(text) == 44:
            yield at_us / 1e6, Channel.INFO, bytes.fromhex(text)
    for at_us, text in outcome["notified"]:
        yield at_us / 1e6, Channel.DATA, bytes.fromhex(text)


@pytest.mark.parametrize("interpreter", BOTH)
def test_a_lost_link_leaves_no_hole(interpreter, tmp_path):
    outcome = run(interpreter, "run.py", "lost_link_247", tmp_path)
    asked_s, asked = outcome["asked"][0][0] / 1e6, decode_command(bytes.fromhex(outcome["asked"][0][1]))
    host, program = BackFill(), Assembler("rung", patient=True)
    items, wish = [], None
    for at_s, channel, payload in sorted(heard(outcome)):
        if at_s >= asked_s and wish is None:
            assert host.missing > 1480
            wish = host.ask(at_s)
        host.heard(channel, payload, at_s)
        items += program.push(Arrival("rung", at_s, channel, payload))
    assert isinstance(wish, Resend)
    assert wish == asked
    assert host.missing == 0
    assert not any(isinstance(item, Lost) for item in items)
    blocks = [item for item in items if isinstance(item, Block)]
    indices = [block.first_index + k for block in blocks for k in range(len(block))]
    assert indices == list(range(indices[0], indices[0] + len(indices)))
    assert len(indices) > 3000
