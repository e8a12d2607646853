"""A small client for a language server over its standard streams (LSP 3.17), for tests with editors."""

import json
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any, Self

Message = dict[str, Any]


class LanguageServer:
    """One running server. Use it as a context manager: it ends with the block."""

    def __init__(self, command: Sequence[str], root: Path) -> None:
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=root)
        self.count = 0
        self.told: list[Message] = []
        self.ask("initialize", {"processId": None, "rootUri": root.as_uri(), "capabilities": {}})
        self.tell("initialized", {})
        wanted = {
            "yaml": {"validate": True, "hover": True, "completion": True, "schemaStore": {"enable": False}}
        }
        self.tell("workspace/didChangeConfiguration", {"settings": wanted})

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.process.kill()
        self.process.communicate()

    def open(self, path: Path) -> list[Message]:
        """Open a file and give what is wrong with it."""
        text = path.read_text(encoding="utf-8")
        document = {"uri": path.as_uri(), "languageId": "yaml", "version": 1, "text": text}
        self.tell("textDocument/didOpen", {"textDocument": document})
        while True:
            message = self._read()
            if message.get("method") == "textDocument/publishDiagnostics":
                params = message["params"]
                if params["uri"] == path.as_uri():
                    return list(params["diagnostics"])

    def at(self, method: str, path: Path, line: int, column: int) -> Any:
        """Ask about a place, counted from 1."""
        place = {"line": line - 1, "character": column - 1}
        return self.ask(f"textDocument/{method}", {"textDocument": {"uri": path.as_uri()}, "position": place})

    def ask(self, method: str, params: Message) -> Any:
        """Send a request and give its result."""
        self.count += 1
        self._write({"id": self.count, "method": method, "params": params})
        while True:
            message = self._read()
            if message.get("id") == self.count and "method" not in message:
                assert "error" not in message, message
                return message["result"]

    def tell(self, method: str, params: Message) -> None:
        """Send a notification."""
        self._write({"method": method, "params": params})

    def _write(self, message: Message) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self.process.stdin is not None
        self.process.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.process.stdin.flush()

    def _read(self) -> Message:
        """Read the next message; what the server asks of an editor is answered with nothing."""
        assert self.process.stdout is not None
        length = 0
        while (line := self.process.stdout.readline()) not in {b"\r\n", b""}:
            if line.lower().startswith(b"content-length:"):
                length = int(line.split(b":")[1])
        assert length, "the language server ended"
        message: Message = json.loads(self.process.stdout.read(length))
        if "id" in message and "method" in message:
            items = message.get("params", {}).get("items", [])
            self._write({"id": message["id"], "result": [None for _ in items] or None})
        return message
