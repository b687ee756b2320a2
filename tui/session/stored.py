"""What a recording keeps as JSON text, exact to the last digit: events, the prescription, the calibration applied."""

from __future__ import annotations

from typing import Any

from cattrs import ClassValidationError
from cattrs.preconf.json import make_converter
from cattrs.strategies import configure_tagged_union

from analysis.motion.events import Event
from analysis.training.prescription import Prescription
from analysis.training.view import View
from sensor.calibration import Calibration

_converter = make_converter()
configure_tagged_union(Event, _converter, tag_name="event")


class StoredEventError(ValueError):
    """Text that is no event of this version; the message says what to do next."""


def encode_event(event: Event) -> str:
    """Return the event as one line of JSON; floats keep every digit."""
    return _converter.dumps(event, unstructure_as=Event)


def decode_event(text: str) -> Event:
    """Return the event that `encode_event` wrote.

    Raises
    ------
    StoredEventError
        When the text is no event of this version.
    """
    event: Event = _loads(text, Event)
    return event


def _loads(text: str, form: Any) -> Any:
    try:
        return _converter.loads(text, form)
    except (ClassValidationError, ValueError, KeyError, TypeError) as error:
        raise StoredEventError(f"this recording holds something that is not of this version ({error})") from error


def prescription_to_json(prescription: Prescription) -> str:
    """Return the prescription as one line of JSON."""
    return _converter.dumps(prescription)


def prescription_from_json(text: str) -> Prescription:
    """Return the prescription that `prescription_to_json` wrote.

    Raises
    ------
    StoredEventError
        When the text is no prescription of this version.
    """
    prescription: Prescription = _loads(text, Prescription)
    return prescription


def view_to_json(view: View) -> str:
    """Return what was known beside the motion as one line of JSON."""
    return _converter.dumps(view)


def view_from_json(text: str) -> View:
    """Return what `view_to_json` wrote.

    Raises
    ------
    StoredEventError
        When the text is nothing of this version.
    """
    view: View = _loads(text, View)
    return view


CALIBRATION_OF = "calibration of "
"""How the name of a fact of a recording begins that holds what is applied to a sensor that came later."""


def calibration_to_json(calibration: Calibration) -> str:
    """Return the calibration as one line of JSON; floats keep every digit."""
    return _converter.dumps(calibration)


def calibration_from_json(text: str) -> Calibration:
    """Return the calibration that `calibration_to_json` wrote.

    Raises
    ------
    StoredEventError
        When the text is no calibration of this version.
    """
    calibration: Calibration = _loads(text, Calibration)
    return calibration
