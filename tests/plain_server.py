"""A plain file server: pages made for a test, and the site's own static files."""

from __future__ import annotations

import http.server
import threading
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

STATIC = Path(__file__).parents[1] / "static"
TYPES = {".js": "text/javascript", ".css": "text/css", ".woff2": "font/woff2"}


@contextmanager
def served(
    made: Mapping[str, tuple[str, bytes]], headers: Mapping[str, str] | None = None
) -> Iterator[str]:
    """Its address. `made`: path -> (media type, body); `headers` go with every answer."""

    class Handler(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            path = self.path.split("?")[0]
            file = STATIC / path.removeprefix("/static/")
            if path in made:
                kind, body = made[path]
            elif path.startswith("/static/") and file.is_file():
                kind, body = TYPES.get(file.suffix, "application/octet-stream"), file.read_bytes()
            else:
                self.send_error(404)
                return
            self.send_response(200)
            for name, value in {
                "Content-Type": kind, "Content-Length": str(len(body)), **(headers or {}),
            }.items():  # fmt: skip
                self.send_header(name, value)
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, *args: Any) -> None:
            pass

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    threading.Thread(target=server.serve_forever, daemon=True).start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/"
    finally:
        server.shutdown()
