"""What can go wrong between browser and app, before any use case is asked."""

from __future__ import annotations

from hillbench.errors import HillbenchError
from hillbench.records.role import Role


class UnknownHost(HillbenchError):
    """The request names a host that this app does not answer to."""

    def __init__(self, host: str) -> None:
        self.host = host
        super().__init__(
            f"This app does not answer to the name {host[:80]!r}: open it at the address it "
            "printed when it started."
        )


class CrossSite(HillbenchError):
    """A page of another site tried to change something here."""

    def __init__(self) -> None:
        super().__init__(
            "Nothing was changed: the request came from another site. Open the app itself and "
            "do it there."
        )


class TooLarge(HillbenchError):
    """More was sent than the app takes in one go."""

    def __init__(self, size: int, most: int) -> None:
        self.size = size
        self.most = most
        super().__init__(
            f"What was sent has {size / 1024**2:.1f} MB; allowed is at most "
            f"{most / 1024**2:.0f} MB: choose a smaller file."
        )


class NotAllowed(HillbenchError):
    """Another device asked for what its invitation does not cover."""

    def __init__(self, role: Role | None) -> None:
        self.role = role
        if role is None:
            super().__init__(
                "This device was not invited: scan the code that the director shows on the laptop "
                "(Meets, People). On the laptop itself, open the address with 127.0.0.1."
            )
        else:
            super().__init__(
                f"Your invitation as {role} does not cover this page: ask the director if you "
                "need it."
            )
