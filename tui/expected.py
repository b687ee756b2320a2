"""The errors that have a cause outside the program, from all of it."""

from __future__ import annotations

from analysis.logbook.errors import LogbookError
from analysis.training.test_day import TrialError
from analysis.training.told import ToldError
from sensor.broker_address import BrokerError
from sensor.own.loading import DescriptionError
from sensor.radio_errors import RadioError
from sensor.recording_file import RecordingError
from sensor.table import TableError
from sensor.virtual.spawn import VirtualSensorError
from tui.book.cells import SheetError
from tui.book.plan_file import PlanError
from tui.book.plan_lists import EditError
from tui.home import HomeError
from tui.hub.errors import HubError
from tui.session.stored import StoredEventError
from tui.share.topics import TopicError

EXPECTED = (
    BrokerError,
    DescriptionError,
    EditError,
    HomeError,
    HubError,
    LogbookError,
    PlanError,
    RadioError,
    RecordingError,
    SheetError,
    StoredEventError,
    TableError,
    ToldError,
    TopicError,
    TrialError,
    VirtualSensorError,
)
"""What can go wrong outside the program; the message of each says what to do next."""
