"""Requests that meet: each in a thread and on a connection of its own, all past the door before any of them acts."""

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from django.db import connections

from portal import access

WAITS = 60  # seconds until a meeting that cannot come about is a failure


class Meeting:
    """A barrier where every thread waits once: at the door, with its member and campaign read and nothing written yet.

    There each request holds no lock, and what it has read of the campaign is as stale as it can be.
    """

    def __init__(self, monkeypatch: Any) -> None:
        self._own = threading.local()
        self._barrier: threading.Barrier | None = None
        need = access.need

        def waiting(member: Any, act: Any) -> None:
            need(member, act)
            if self._barrier and not getattr(self._own, "met", False):
                self._own.met = True
                self._barrier.wait(WAITS)

        monkeypatch.setattr(access, "need", waiting)

    def of(self, requests: Sequence[Callable[[], Any]]) -> list[Any]:
        """Do these at once; their answers, in their order. An error in one of them is raised."""
        self._barrier = threading.Barrier(len(requests))

        def alone(request: Callable[[], Any]) -> Any:
            try:
                return request()
            finally:
                connections.close_all()

        try:
            with ThreadPoolExecutor(len(requests)) as threads:
                return [done.result(WAITS) for done in [threads.submit(alone, request) for request in requests]]
        finally:
            self._barrier = None
