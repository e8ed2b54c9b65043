"""A value that all pages of a job show: set it here, and whoever watches hears of it."""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Callable
from typing import Generic, TypeVar

T = TypeVar("T")


class Board(Generic[T]):
    """value: what is shown now."""

    def __init__(self, value: T) -> None:
        self.value = value
        self._lock = threading.Lock()
        self._callbacks: list[Callable[[T], None]] = []

    def show(self, value: T) -> None:
        """Another value; from any thread."""
        self.value = value
        with self._lock:
            callbacks = list(self._callbacks)
        for callback in callbacks:
            callback(value)

    def subscribe(self, callback: Callable[[T], None]) -> Callable[[], None]:
        """Call back with every new value; what is returned ends that."""
        with self._lock:
            self._callbacks.append(callback)

        def end() -> None:
            with self._lock, contextlib.suppress(ValueError):
                self._callbacks.remove(callback)

        return end
