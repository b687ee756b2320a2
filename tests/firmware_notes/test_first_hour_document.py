"""`firmware_notes/first_hour.md`: the target figures are those of the code and of the documents they come from."""

import math
import re
import shlex

import click
import pytest
from interpreters import NOTES

from sensor import calibrate, health
from tui.cli import main

G = 9.80665  # m/s², exact: 3rd CGPM (1901)
TEXT = (NOTES / "first_hour.md").read_text(encoding="utf-8")
DOCUMENTS = sorted([*NOTES.glob("*.md"), *NOTES.glob("*/*.md")])
COMMANDS = sorted(
    {
        (path.relative_to(NOTES).as_posix(), command)
        for path in DOCUMENTS
        for command in re.findall(r"`(rungwise [^`]+)`|^(?:   )?(rungwise .+)$", path.read_text("utf-8"), re.MULTILINE)
        for command in command
        if command
    }
)


def figures(name):
    """What is good, and what is wrong, of a row of the target figures."""
    (row,) = [line for line in TEXT.splitlines() if line.startswith(f"| {name} |")]
    good, wrong = [cell.strip() for cell in row.split("|")[2:4]]
    return [float(one) for one in good.split(" to ")], float(wrong)


def test_noise_by_density_and_by_what_counts_as_still():
    """White noise of a density d over the band to f/2: sigma = d √(f/2); three equal axes: √3 of one."""
    good, wrong = figures("noise, mg RMS an axis")
    assert good == pytest.approx([density * math.sqrt(100 / 2) / 1e3 for density in (60, 300)], abs=0.05)
    assert wrong == pytest.approx(health.STILL_M_S2 / math.sqrt(3) / G * 1e3, abs=0.05)


def test_off_1g_by_what_is_believed_of_a_sensor():
    good, wrong = figures("off 1 g, mg, as it came")
    assert wrong == pytest.approx(3 * calibrate.CLASS_BIAS_SD_M_S2 / G * 1e3)
    assert good[0] < wrong
    corrected, far = figures("off 1 g, mg, corrected")
    assert corrected[0] == pytest.approx(calibrate.READING_SD_M_S2 / G * 1e3)
    assert far == pytest.approx(3 * corrected[0])


def test_the_clock_by_the_table_of_timing():
    timing = (NOTES / "timing.md").read_text(encoding="utf-8")
    good, wrong = figures("clock, ppm")
    assert f"| 60 s | 0.1 s | 16 ppm | {good[0]:g} ppm |" in timing
    assert f"±{wrong / 1e4:g} %" in timing


@pytest.mark.parametrize(("document", "words"), COMMANDS, ids=str)
def test_each_command_of_the_notes_can_be_given(document, words):
    command, rest = main, shlex.split(words)[1:]
    while isinstance(command, click.Group) and rest[0] in command.commands:
        command = command.commands[rest.pop(0)]
    assert command is not main, document
    known = {option for one in command.params if isinstance(one, click.Option) for option in one.opts}
    assert {word for word in rest if word.startswith("--")} <= known, document


def test_nobody_is_sent_to_train_on_a_fresh_install_without_a_name():
    """`rungwise train` asks for a name as long as nobody is in the log."""
    for document in ("first_hour.md", "reference/README.md"):
        commands = re.findall(r"`(rungwise [^`]+)`", (NOTES / document).read_text("utf-8"))
        steps = [command.split()[1] for command in commands]
        assert steps.index("scan") < steps.index("sensor" if document != "first_hour.md" else "train") < len(steps)
        assert all(re.match(r'rungwise train "[^"]+"', one) for one in commands if one.startswith("rungwise train"))


def test_the_working_folder_of_the_copy_is_said_and_left_as_it_was():
    text = (NOTES / "reference" / "README.md").read_text(encoding="utf-8")
    (shell,) = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    (source,) = re.findall(r"fs cp -r (\S+) :", shell)
    assert (NOTES.parent / source).samefile(NOTES / "reference")
    assert shell.index("cd ") < shell.index("fs cp")
    assert set(re.findall(r"> (\S+)", shell)) == set(re.findall(r"rm (\S+)", shell))


@pytest.mark.parametrize("document", ["first_hour.md", "reference/README.md"])
def test_what_the_board_is_said_to_show_it_shows(document):
    text = (NOTES / document).read_text("utf-8")
    shown = [part for one in re.findall(r'"((?:chip id|no interrupts)[^"]*)"', text) for part in one.split(" …")]
    code = "".join(path.read_text("utf-8") for path in (NOTES / "reference").glob("*.py"))
    assert len(shown) >= 2
    assert [part for part in shown if part not in code] == []
    assert "ring 6000" not in text


def test_mounting_leads_there_and_the_index_begins_there():
    see = (NOTES / "mounting.md").read_text("utf-8").split("## See on the screen", 1)[1].split("\n## ", 1)[0]
    assert "(first_hour.md)" in see
    index = (NOTES / "README.md").read_text("utf-8")
    assert index.count("begin here") == 1
    assert "begin here" in next(line for line in index.splitlines() if "first_hour.md" in line)


def test_when_the_information_is_read_is_said_once_and_the_same():
    gatt = (NOTES / "gatt.md").read_text("utf-8")
    assert "and then only" not in gatt
    (sentence,) = re.findall(r"because the host reads the information ([^.]+)\.", gatt)
    for moment in ("each connection", "`SetRate`", "`SetRange`", "no other time"):
        assert moment in sentence
