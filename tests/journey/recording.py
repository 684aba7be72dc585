"""A proxy that keeps all that one browser receives, so that nothing can reach it unseen."""

import gzip
import http.client
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import urlsplit

_HOP_BY_HOP = {"connection", "keep-alive", "proxy-connection", "transfer-encoding", "te", "upgrade", "trailer"}


class Record:
    """What came: (address, headers and body) of every answer, unpacked where it was packed."""

    def __init__(self) -> None:
        self.answers: list[tuple[str, bytes]] = []
        self.port = 0

    @property
    def proxy(self) -> dict[str, str]:
        """How a browser context is told of it; Chromium else goes straight to its own machine."""
        return {"server": f"http://127.0.0.1:{self.port}", "bypass": "<-loopback>"}

    def having(self, words: str) -> list[str]:
        """The addresses whose answer has these words in it."""
        return [address for address, answer in self.answers if words.encode() in answer]


@contextmanager
def recording() -> Iterator[Record]:
    record = Record()

    class Relay(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def relay(self) -> None:
            to = urlsplit(self.path)
            sent = self.rfile.read(int(self.headers.get("Content-Length") or 0))
            headers = {name: value for name, value in self.headers.items() if name.lower() not in _HOP_BY_HOP}
            there = http.client.HTTPConnection(to.hostname or "", to.port or 80, timeout=120)
            try:
                there.request(self.command, f"{to.path}{'?' if to.query else ''}{to.query}", sent or None, headers)
                answer = there.getresponse()
                body = answer.read()
            finally:
                there.close()
            plain = gzip.decompress(body) if answer.headers.get("Content-Encoding") == "gzip" else body
            record.answers.append((self.path, str(answer.headers).encode() + plain))
            self.send_response(answer.status)
            for name, value in answer.headers.items():
                if name.lower() not in _HOP_BY_HOP | {"content-length", "server", "date"}:
                    self.send_header(name, value)
            self.send_header("Content-Length", str(len(body)))
            self.end_headers()
            if self.command != "HEAD":
                self.wfile.write(body)

        do_GET = do_POST = do_HEAD = relay

        def do_CONNECT(self) -> None:
            """Chromium's own errands elsewhere: there is nothing but the portal."""
            self.send_error(403)

        def log_message(self, *args: object) -> None:
            """Quiet."""

        def handle(self) -> None:
            try:
                super().handle()
            except (ConnectionError, TimeoutError):
                """The browser went to another page before the answer had come."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Relay)
    server.daemon_threads = True
    record.port = server.server_address[1]
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield record
    finally:
        server.shutdown()
        server.server_close()
        thread.join()
