"""What ``manage.py up`` says when everything runs, and where phones find it."""

from __future__ import annotations

import ipaddress
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path

import pytest

from scheduling import farm_network
from scheduling.management.commands import up


def test_the_greeting_names_the_addresses_and_the_sign_ins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(up, "farm_addresses", lambda: ["192.168.1.20"])
    sign_ins = tmp_path / "sign-ins.txt"
    sign_ins.write_text("organizer  hazel  plain-words\n")
    words = up.greeting("0.0.0.0", 8000, sign_ins=sign_ins)
    assert "http://localhost:8000/" in words
    assert "http://192.168.1.20:8000/" in words
    assert "  organizer  hazel  plain-words" in words


def test_without_a_network_the_greeting_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(up, "farm_addresses", list)
    words = up.greeting("0.0.0.0", 8000, sign_ins=tmp_path / "none")
    assert "not connected to a network now" in words
    assert "sign-ins" not in words


@pytest.mark.parametrize(("host", "shown"), [("127.0.0.1", "127.0.0.1"), ("::1", "[::1]")])
def test_one_address_is_offered_when_only_it_is_listened_on(
    tmp_path: Path, host: str, shown: str
) -> None:
    words = up.greeting(host, 8001, sign_ins=tmp_path / "none")
    assert f"http://{shown}:8001/" in words
    assert "Wi-Fi" not in words


@pytest.mark.parametrize(("status", "times"), [(200, 1), (301, 1), (400, 1), (500, 0)])
def test_the_greeting_is_said_once_the_web_server_answers(status: int, times: int) -> None:
    class Answer(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(status)
            self.end_headers()

        def log_message(self, *_: object) -> None:
            pass

    said: list[str] = []
    with HTTPServer(("127.0.0.1", 0), Answer) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        greeting = up.Greeting(host="127.0.0.1", port=server.server_port, say=said.append)
        greeting.when_ready()
        greeting.when_ready()
        server.shutdown()
    greeting.when_ready()
    assert len(said) == times


def test_farm_addresses_are_ones_that_a_phone_can_use() -> None:
    for address in farm_network.farm_addresses():
        found = ipaddress.IPv4Address(address)
        assert not found.is_loopback
        assert not found.is_link_local


def test_each_address_is_named_once_and_the_likeliest_first() -> None:
    found = farm_network.reachable([None, "10.0.0.5", "127.0.0.1", "192.168.1.20", "10.0.0.5"])
    assert found == ["10.0.0.5", "192.168.1.20"]
