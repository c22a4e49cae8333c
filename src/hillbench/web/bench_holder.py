"""The bench book this process has open: the reader's own, or the invented demo."""

from __future__ import annotations

from collections.abc import Callable
from threading import Lock
from typing import Final, Literal

from hillbench.errors import NotFound
from hillbench.records.bench_book import BenchBook

Which = Literal["own", "demo"]
Opener = Callable[[], BenchBook]


class BenchHolder:
    """Holds the open bench book and changes between the two; both stay open once opened.

    Attributes
    ----------
    which
        The one that is open now.
    """

    def __init__(
        self, book: BenchBook, which: Which, openers: dict[Which, Opener] | None = None
    ) -> None:
        self.which: Which = which
        self._books: dict[Which, BenchBook] = {which: book}
        self._openers: Final = dict(openers or {})
        self._lock: Final = Lock()

    @property
    def book(self) -> BenchBook:
        """The open bench book."""
        return self._books[self.which]

    def can_open(self, which: Which) -> bool:
        """Return whether that bench book is not the open one and can be opened."""
        return which != self.which and (which in self._books or which in self._openers)

    def open(self, which: Which) -> None:
        """Make that bench book the open one.

        Raises
        ------
        NotFound
            If this process was not told where it is.
        BenchBookError
            If it cannot be opened; the open one stays open then.
        """
        with self._lock:
            if which not in self._books:
                opener = self._openers.get(which)
                if opener is None:
                    raise NotFound("bench", which)
                self._books[which] = opener()
            self.which = which

    def close(self) -> None:
        """Let go of every bench book opened."""
        for book in self._books.values():
            book.close()
