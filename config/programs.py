"""The three programs that are the app: the web server, the background worker and the clock."""

from __future__ import annotations

import sys

from config.supervisor import Program

# One process is enough for a farm: its threads carry 60 phones' streams and leave enough
# for posts (docs/running.md). Phones post every few seconds: a connection kept for 30 s is
# not reset under them.
WEB_OPTIONS = {
    "--worker-class": "gthread",
    "--threads": "96",
    "--keep-alive": "30",
    "--graceful-timeout": "3",
    "--log-level": "warning",
}
# One job at a time: the planner uses every core by itself. The child process is replaced now and
# then, since setting pages in print keeps some memory.
WORKER_OPTIONS = {
    "--pool": "prefork",
    "--concurrency": "1",
    "--prefetch-multiplier": "1",
    "--max-tasks-per-child": "20",
    "--loglevel": "WARNING",
}


def _words(options: dict[str, str]) -> list[str]:
    return [word for pair in options.items() for word in pair]


def programs(*, host: str, port: int, web_processes: int = 1) -> tuple[Program, ...]:
    """What ``up`` keeps running. The clock is apart from the worker: inside it, a killed worker
    left its clock alive and the next one made a second."""
    bind = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    web = ["-m", "gunicorn", "config.wsgi:application", "--bind", bind, "--no-control-socket"]
    web += ["--workers", str(web_processes)]
    celery = ["-m", "celery", "--quiet", "-A", "config"]
    worker = ["worker", "--without-gossip", "--without-mingle", *_words(WORKER_OPTIONS)]
    # Nothing is written down about the last time: a start after the clock was set back would
    # otherwise wait until that time comes round.
    beat = ["beat", "--scheduler", "celery.beat:Scheduler", "--loglevel", "WARNING"]
    return (
        Program(name="web server", command=(sys.executable, *web, *_words(WEB_OPTIONS))),
        Program(name="background worker", command=(sys.executable, *celery, *worker)),
        Program(name="clock", command=(sys.executable, *celery, *beat), counts_by_clock=True),
    )
