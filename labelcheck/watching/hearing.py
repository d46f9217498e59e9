"""Hears from the system that something changed in a folder; the only user of watchdog, and it decides nothing."""

import inspect
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

from watchdog import events
from watchdog.events import FileSystemEvent, FileSystemEventHandler
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, ObservedWatch

_TELLING = frozenset({"created", "modified", "attrib", "moved", "deleted", "closed"})
"""Not `opened` and `closed_no_write`: our own looking makes those."""
_KINDS = [
    kind
    for kind in vars(events).values()
    if isinstance(kind, type) and issubclass(kind, FileSystemEvent) and getattr(kind, "event_type", "") in _TELLING
]
_CAN_FILTER = "event_filter" in inspect.signature(BaseObserver.schedule).parameters
"""Of later versions of watchdog: then the system does not tell of every file that is only opened."""


class Ears:
    """Listens to folders; what is heard is passed on as the folder's path, from another thread."""

    def __init__(self, heard: Callable[[Path], None]) -> None:
        self._heard = heard
        self._observer: BaseObserver | None = None
        self._watches: dict[Path, ObservedWatch] = {}

    def listen(self, root: Path) -> str | None:
        """Begin to listen, or begin anew where the folder was replaced; why not where the system does not let us."""
        self.leave(root)
        # Folders that are moved away and back make it warn of what it then does rightly; a person can do nothing.
        warnings.filterwarnings("ignore", category=RuntimeWarning, module=r"watchdog\.")
        try:
            if self._observer is None:
                self._observer = Observer()
                self._observer.daemon = True
                self._observer.start()
            only: dict[str, Any] = {"event_filter": _KINDS} if _CAN_FILTER else {}
            handler = _Handler(root, self._heard)
            self._watches[root] = self._observer.schedule(handler, str(root), recursive=True, **only)
        except (OSError, RuntimeError) as error:
            # Too many watches, a drive that sends nothing, or no thread left: looking now and then has to do.
            return str(getattr(error, "strerror", None) or error)
        return None

    def leave(self, root: Path) -> None:
        """Stop listening to a folder."""
        watch = self._watches.pop(root, None)
        if watch is not None and self._observer is not None:
            try:
                self._observer.unschedule(watch)
            except (KeyError, OSError, RuntimeError):  # its thread ended when the folder went away
                return

    def deaf_to(self, root: Path) -> bool:
        """Whether the thread that listened to a folder is gone, as when the folder was deleted."""
        watch = self._watches.get(root)
        if watch is None or self._observer is None:
            return True
        return not any(emitter.watch == watch and emitter.is_alive() for emitter in self._observer.emitters)

    def end(self) -> None:
        """Stop all threads."""
        if self._observer is not None:
            self._observer.stop()
            self._observer.join(1.0)
            self._observer = None


class _Handler(FileSystemEventHandler):
    def __init__(self, root: Path, heard: Callable[[Path], None]) -> None:
        self._root, self._heard = root, heard

    def on_any_event(self, event: FileSystemEvent) -> None:
        if event.event_type in _TELLING:
            self._heard(self._root)
