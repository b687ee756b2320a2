"""What keeps a hub from running."""


class HubError(Exception):
    """The hub cannot run as it was asked to; the message says why and what to do next."""
