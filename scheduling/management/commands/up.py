"""``manage.py up``: everything the app needs, as one command in the foreground."""

from __future__ import annotations

import http.client
import subprocess
import sys
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connections
from django.urls import reverse

from config.collecting import collect_if_changed
from config.programs import programs
from config.supervisor import Supervisor, SupervisorError, check_port
from scheduling.farm_network import farm_addresses
from scheduling.models import RunSheet

EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104  (phones on the farm's Wi-Fi are the point)


class Command(BaseCommand):
    help = "Runs the web server, the background worker and the clock until Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default=EVERYWHERE[0], help="address to listen on")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument(
            "--set-up", action="store_true", help="first migrate, and load the demo if it is empty"
        )

    def handle(
        self, *_args: object, host: str, port: int, set_up: bool, **_options: object
    ) -> None:
        say = self._say
        try:
            check_port(host, port)
            if set_up:
                self._set_up()
            if not settings.DEBUG:
                collect_if_changed(say=say)
            Supervisor(
                programs=programs(host=host, port=port, web_processes=settings.WEB_PROCESSES),
                folder=settings.BASE_DIR,
                say=say,
                each_look=Greeting(host=host, port=port, say=say).when_ready,
            ).run()
        except SupervisorError as error:
            raise CommandError(str(error)) from error
        say("Stopped.")

    def _set_up(self) -> None:
        call_command("migrate", interactive=False, verbosity=0)
        if not RunSheet.objects.posted().exists():
            # A process of its own: the solver's memory goes with it, and a start that needs no
            # demo does not load the solver at all.
            demo = (sys.executable, "manage.py", "demo", "--if-empty")
            if subprocess.run(demo, cwd=settings.BASE_DIR).returncode != 0:  # noqa: S603  (fixed)
                raise CommandError("Loading the demo course failed; the reason is above.")
        connections.close_all()

    def _say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()


@dataclass(slots=True, kw_only=True)
class Greeting:
    """Says once, when the web server answers, where the app is and who may sign in."""

    host: str
    port: int
    say: Callable[[str], None]
    was_said: bool = False

    def when_ready(self) -> None:
        if not self.was_said and self._answers():
            self.was_said = True
            self.say(greeting(self.host, self.port, sign_ins=settings.VAR / "sign-ins.txt"))

    def _answers(self) -> bool:
        host = "localhost" if self.host in EVERYWHERE else self.host
        # Not through urllib, which would ask a proxy of the environment.
        connection = http.client.HTTPConnection(host, self.port, timeout=2)
        try:
            connection.request("GET", reverse("health"))
            # A public server may redirect to https or refuse this host name: it is up all the same.
            return connection.getresponse().status < 500
        except (OSError, http.client.HTTPException):
            return False
        finally:
            connection.close()


def greeting(host: str, port: int, *, sign_ins: Path) -> str:
    """What the person who started the app needs to know now."""
    lines = ["", "Gambrel is running.", *_where(host, port)]
    if sign_ins.exists():
        lines += ["", f"Demo sign-ins (kept in {sign_ins}):"]
        lines += [f"  {line}" for line in sign_ins.read_text().splitlines()]
    return "\n".join([*lines, "", "Ctrl-C stops everything.", ""])


def _where(host: str, port: int) -> list[str]:
    if host not in EVERYWHERE:
        shown = f"[{host}]" if ":" in host else host
        return [f"  Open             http://{shown}:{port}/"]
    addresses = farm_addresses()
    phones = [f"  On farm Wi-Fi    http://{address}:{port}/" for address in addresses]
    return [
        f"  On this computer http://localhost:{port}/",
        *(phones or ["  On farm Wi-Fi    not connected to a network now"]),
    ]
