"""Presses of a button over the wire: many people at once, watched by one thread.

So that pressing takes little of the processors that the site needs.
"""

import selectors
import socket
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace

TOKEN = "b" * 32  # any secret will do, when cookie and header agree


@dataclass(frozen=True, slots=True)
class Presser:
    """Somebody signed in: their person, and the key of their sign-in."""

    person: int
    key: str


@dataclass(frozen=True, slots=True)
class Press:
    """One press: who, on which page, and (afterwards) the status and the seconds it took.

    Without a body it only reads the page.
    """

    presser: Presser
    page: str
    session: int
    body: str = ""
    status: int = 0
    seconds: float = 0.0


def write_request(press: Press) -> bytes:
    """Return a press as it goes over the wire."""
    who = press.presser
    return (
        f"{'POST' if press.body else 'GET'} {press.page} HTTP/1.1\r\n"
        "Host: 127.0.0.1\r\nConnection: close\r\n"
        f"Cookie: sessionid={who.key}; csrftoken={TOKEN}\r\nX-CSRFToken: {TOKEN}\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\n"
        f"Content-Length: {len(press.body)}\r\n\r\n{press.body}"
    ).encode()


class Client:
    """One of those who press: one press after the other, each on a connection of its own."""

    def __init__(self, port: int, presses: Sequence[Press], watch: selectors.BaseSelector) -> None:
        self.port, self.left, self.watch = port, list(reversed(presses)), watch
        self.answered: list[Press] = []

    def press_next(self) -> None:
        """Send the next press, if there is one."""
        if not self.left:
            return
        self.press, self.head, self.begun = self.left.pop(), b"", time.perf_counter()
        self.socket = socket.socket()
        self.socket.setblocking(False)
        self.socket.connect_ex(("127.0.0.1", self.port))
        self.watch.register(self.socket, selectors.EVENT_WRITE, self)

    def go_on(self, events: int) -> None:
        """Send what is to be sent, take what has come; at its end press again."""
        try:
            if events & selectors.EVENT_WRITE:
                self.socket.sendall(write_request(self.press))
                self.watch.modify(self.socket, selectors.EVENT_READ, self)
                return
            part = self.socket.recv(65536)
            self.head = self.head or part[:32]
            if part:
                return
        except OSError:
            self.head = b""
        self.watch.unregister(self.socket)
        self.socket.close()
        words = self.head.split()
        status = int(words[1]) if len(words) > 1 else 0
        taken = time.perf_counter() - self.begun
        self.answered.append(replace(self.press, status=status, seconds=taken))
        self.press_next()


def race(port: int, presses: Sequence[Press], clients: int) -> tuple[list[Press], float]:
    """Send every press, so many at a time, all clients let go at once; return them answered."""
    begun = time.perf_counter()
    with selectors.DefaultSelector() as watch:
        pressing = [Client(port, presses[number::clients], watch) for number in range(clients)]
        for client in pressing:
            client.press_next()
        while watch.get_map():
            for key, events in watch.select():
                key.data.go_on(events)
    answered = [one for client in pressing for one in client.answered]
    return answered, time.perf_counter() - begun
