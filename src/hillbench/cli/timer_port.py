"""A timer on a serial port: its lines, also after it was unplugged and plugged in again."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Final

from hillbench.errors import HillbenchError, InvalidInput, Problem
from hillbench.timing.line_stream import LineStream

if TYPE_CHECKING:
    import serial

_WAIT_S: Final = 0.2
_AGAIN_S: Final = 0.5


class NoTimerSupport(HillbenchError):
    """The library for serial ports is not installed."""

    def __init__(self) -> None:
        super().__init__(
            "Serial ports need the package pyserial: install hillbench with its extra 'timer'."
        )


def timer_lines(port: str, baud: int, tell: Callable[[str], None]) -> Iterator[str]:
    """Yield the lines of a timer without end, repeats left out.

    Parameters
    ----------
    port
        Name of the port, such as ``/dev/ttyUSB0`` or ``COM3``.
    baud
        Symbols a second.
    tell
        Called with a sentence when the timer is gone, and when it is back.

    Raises
    ------
    NoTimerSupport
        If the library for serial ports is missing.
    InvalidInput
        If the port cannot be opened at first.
    """
    stream = LineStream()
    device: serial.Serial | None = _open_first(port, baud)
    while True:
        if device is None:
            time.sleep(_AGAIN_S)
            device = _open(port, baud)
            if device is not None:
                tell(f"The timer on {port} is back.")
            continue
        data = _read(device)
        if data is None:
            device.close()
            device = None
            stream.interrupt()
            tell(f"The timer on {port} is gone; waiting for it to be plugged in again.")
            continue
        yield from stream.feed(data, time.monotonic())


def _open_first(port: str, baud: int) -> serial.Serial:
    try:
        import serial
        from serial.tools.list_ports import comports
    except ImportError:
        raise NoTimerSupport from None
    try:
        return serial.Serial(port, baud, timeout=_WAIT_S)
    except (serial.SerialException, ValueError) as error:
        there = ", ".join(found.device for found in comports()) or "none found"
        seen = f"{port}, which cannot be opened ({error})"
        allowed = f"a serial port that is free ({there})"
        raise InvalidInput([Problem("PORT", seen, allowed, "plug the timer in")]) from error


def _open(port: str, baud: int) -> serial.Serial | None:
    import serial

    try:
        return serial.Serial(port, baud, timeout=_WAIT_S)
    except (serial.SerialException, OSError):
        return None


def _read(device: serial.Serial) -> bytes | None:
    """Return what has come, empty for nothing; None where the device is gone."""
    import serial

    try:
        data: bytes = device.read(max(device.in_waiting, 1))
    except (serial.SerialException, OSError):
        return None
    return data
