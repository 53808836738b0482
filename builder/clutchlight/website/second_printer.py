"""A second process that prints pages while the first one makes them.

It is a copy of this process, made before anything else is loaded or started: a copy has none of the threads of what it was copied from.
It readies templates and the layout engine as soon as the theme is known, then takes pages and hands back their bytes, one batch at a
time. It ends when the first process ends, in whatever way. What it does not hand back, for whatever reason, is printed by the first: the
bytes are the same. Where a process cannot be copied, or has one processor only, everything is printed by the first.
"""

from __future__ import annotations

import os
import pickle
import select
import signal
import sys
from collections import deque
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from clutchlight.problems import RecordsError
from clutchlight.website.theme import Theme

Pages = Sequence[tuple[str, object]]
"""Page objects with their addresses."""

BATCH = 12
FEW = 100
"""Pages that the second process prints sooner than the first one is ready to."""


class SecondPrinter:
    """The second process, as the first one sees it: told of the theme, then given batches, each after the answer to the one before."""

    def __init__(self, process: int, orders: BinaryIO, answers: BinaryIO) -> None:
        self._process = process
        self._orders = orders
        self._answers = answers
        self._given: Pages | None = None
        self.gone = False

    def begin(self, theme: Theme) -> None:
        """Have it make ready; its first answer, to no pages, says that it is."""
        self._send(Theme(theme.name, theme.layers), ())

    @property
    def busy(self) -> bool:
        return self._given is not None

    @property
    def has_answered(self) -> bool:
        return self.busy and bool(select.select([self._answers], [], [], 0)[0])

    def give(self, pages: Pages) -> None:
        self._send(pages, pages)

    def answer(self) -> tuple[dict[str, bytes], Pages]:
        """Waits for the answer: what was printed, and what was not because the process is gone."""
        given, self._given = self._given or (), None
        try:
            printed: dict[str, bytes] = pickle.load(self._answers)  # noqa: S301 - from a copy of this very process
        except (EOFError, OSError, pickle.UnpicklingError):
            self.gone = True
            return {}, given
        return printed, ()

    def _send(self, what: object, given: Pages) -> None:
        self._given = given
        with suppress(OSError):  # then the answer does not come either
            self._orders.write(pickle.dumps(what))
            self._orders.flush()

    def end(self) -> None:
        with suppress(OSError):
            os.kill(self._process, signal.SIGKILL)
        with suppress(OSError):
            self._orders.close()
        self._answers.close()
        with suppress(OSError):
            os.waitpid(self._process, 0)


@contextmanager
def second_printer() -> Iterator[SecondPrinter | None]:
    """The second process, for as long as it may be needed; None where there can be none."""
    started = _started() if _can_be_copied() else None
    try:
        yield started
    finally:
        if started is not None:
            started.end()


def _can_be_copied() -> bool:
    """Not with threads, which a copy would lack, nor with a layout engine that may count on some."""
    if sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2 or "wasmtime" in sys.modules:
        return False
    try:
        return sum(1 for _ in Path("/proc/self/task").iterdir()) == 1
    except OSError:
        return False


def _started() -> SecondPrinter | None:
    """None where the system has no room for another process."""
    pipes: list[int] = []
    try:
        pipes += os.pipe()
        pipes += os.pipe()
        process = os.fork()
    except OSError:
        for end in pipes:
            os.close(end)
        return None
    orders, to_order, answers, to_answer = pipes
    if process:
        os.close(orders)
        os.close(to_answer)
        return SecondPrinter(process, os.fdopen(to_order, "wb"), os.fdopen(answers, "rb"))
    try:
        os.close(to_order)
        os.close(answers)
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # it ends with the first process, which is told as well
        with os.fdopen(orders, "rb") as taken, os.fdopen(to_answer, "wb") as handed:
            _serve(taken, handed)
    finally:
        os._exit(0)


def _serve(orders: BinaryIO, answers: BinaryIO) -> None:
    """What the second process does; it ends with any mistake, which the first one will meet and report when it prints the page."""
    from clutchlight.website.rendering import Printer

    printer = Printer(pickle.load(orders))  # noqa: S301 - from the process that this is a copy of
    printer.make_ready()
    pages: Pages = ()
    while True:
        answers.write(pickle.dumps({address: printer.render(page) for address, page in pages}))
        answers.flush()
        pages = pickle.load(orders)  # noqa: S301


class Printing:
    """Prints pages as they are made, by itself or with a second process."""

    def __init__(self, theme: Theme, second: SecondPrinter | None = None) -> None:
        from clutchlight.website.rendering import Printer

        self._printer = Printer(theme)
        self._second = second
        self._pages: list[tuple[str, object]] = []
        self._waiting: deque[tuple[str, object]] = deque()
        self._printed: dict[str, bytes] = {}

    def add(self, address: str, page: object) -> None:
        self._pages.append((address, page))
        self._waiting.append((address, page))
        if self._second is not None and self._second.has_answered and len(self._waiting) >= BATCH:
            self._exchange(self._second)

    def finish(self) -> dict[str, bytes]:
        """All pages by address. Raises RecordsError when a theme of the collection's own has a mistake in a template."""
        try:
            self._finish()
        except RecordsError:
            for _, page in self._pages:  # the first mistake, whichever process would have met it
                self._printer.render(page)
            raise
        return self._printed

    def _finish(self) -> None:
        while self._waiting or (self._second is not None and self._second.busy):
            second = self._second
            if second is not None and (second.has_answered or len(self._waiting) <= FEW):
                self._exchange(second)
            else:
                address, page = self._waiting.pop()
                self._printed[address] = self._printer.render(page)

    def _exchange(self, second: SecondPrinter) -> None:
        """Takes what it printed, waiting for it if it must, and gives it more."""
        printed, left = second.answer()
        self._printed.update(printed)
        self._waiting.extend(left)
        if second.gone:
            self._second = None
        elif self._waiting:
            share = min(BATCH, max(1, len(self._waiting) // 2))
            second.give([self._waiting.popleft() for _ in range(share)])
