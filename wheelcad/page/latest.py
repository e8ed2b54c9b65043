"""Work for the newest state alone: what a panel shows that takes more than a few milliseconds."""

from __future__ import annotations

from collections.abc import Awaitable, Callable

from nicegui import background_tasks

from wheelcad.page.session import State


class Latest:
    """`heard` takes states; `work` is awaited for one at a time; those that came and went meanwhile are left out."""

    def __init__(self, work: Callable[[State], Awaitable[None]], name: str) -> None:
        self._work, self._name = work, name
        self._wanted: State | None = None
        self._busy = False

    def heard(self, state: State) -> None:
        """Another state; in the event loop."""
        self._wanted = state
        if not self._busy:
            self._busy = True
            background_tasks.create(self._follow(), name=self._name)

    async def _follow(self) -> None:
        try:
            while self._wanted is not None:
                state, self._wanted = self._wanted, None
                await self._work(state)
        finally:
            self._busy = False
