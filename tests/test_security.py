"""What every page withstands: hostile words, forged posts, strange values; and its headers."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import uuid
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.apps import apps
from django.db import models, transaction
from django.forms import BaseForm
from django.http import HttpResponse
from django.http.response import HttpResponseBase
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from scheduling.models import LogEntry
from tests import cast, whole_site
from tests.whole_site import Site
from workshops.models import User

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).resolve().parent.parent
OURS = ("workshops", "stations", "scheduling")
# Closes a quote, opens a tag, reads right to left, is a formula; short, so that it fits.
HOSTILE = "=\"'><b x>אב🐖"
# Words that the program itself writes and reads: not typed by anyone.
OWN_WORDS = {
    "slug", "time_zone", "currency", "seed", "digest", "code", "key", "letter", "password",
    "step_code", "place", "person_key", "state", "task", "units", "email", "payment_link",
    "recipe", "part", "hair", "chain_wire",
}  # fmt: skip
INLINE = re.compile(r"<script(?![^>]*\bsrc=)|\sstyle=|\son[a-z]+=|javascript:", re.IGNORECASE)


def poison(site: Site) -> int:
    """Put hostile words into every text that somebody may have typed, as far as it fits."""
    count = 0
    whole_site.log(site.workshop, site.seat, text=HOSTILE)  # what is logged cannot be changed
    for model in (one for app in OURS for one in apps.get_app_config(app).get_models()):
        if model is LogEntry:
            continue
        fields = [field for field in model._meta.concrete_fields if typed(field)]
        for row in model._base_manager.all():
            words = {field.name: worded(field, row.pk) for field in fields}
            if words:
                model._base_manager.filter(pk=row.pk).update(**words)
                count += 1
    return count


def typed(field: models.Field[object, object]) -> bool:
    """Whether the field holds words of somebody's own."""
    is_text = isinstance(field, models.CharField | models.TextField)
    return is_text and not field.choices and field.name not in OWN_WORDS


def worded(field: models.Field[object, object], pk: object) -> str:
    """Hostile words that are another's for each row, since some names stand once."""
    return f"{HOSTILE}{pk}"[: field.max_length or 200]


def test_hostile_words_come_out_as_words_and_every_answer_guards_the_browser(
    client: Client,
) -> None:
    """By a sign-in or a private link: no name becomes a tag, no script or frame is let in."""
    site = whole_site.build()
    organizer = cast.client_of(cast.make_organizer())
    assert poison(site) > 30
    met, broken = 0, []
    for name, _, parts in whole_site.pages():
        answer = (client if "word" in parts else organizer).get(site.address(name))
        answer.close()
        assert guards(answer), name
        if isinstance(answer, HttpResponse) and "html" in answer["Content-Type"]:
            page = answer.content.decode()
            met += "&lt;b x&gt;" in page
            if "<b x" in page or INLINE.search(page) or answer.status_code >= 500:
                broken.append((name, answer.status_code))
    assert broken == []
    assert met > 40


def guards(answer: HttpResponseBase) -> bool:
    """Own scripts alone, no frame, no guessing of types, no address told to other sites."""
    policy = answer["Content-Security-Policy"]
    return (
        "default-src 'self'" in policy
        and "unsafe" not in policy
        and answer["X-Frame-Options"] == "DENY"
        and answer["X-Content-Type-Options"] == "nosniff"
        and answer["Referrer-Policy"] in {"same-origin", "no-referrer"}
    )


def test_a_post_from_another_site_is_refused_everywhere() -> None:
    """Without the form's own token nothing is done, signed in or by a private link."""
    site = whole_site.build()
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.make_organizer())
    taken = {}
    for name, _, _ in whole_site.pages():
        code = client.post(site.address(name)).status_code
        if code not in {403, 405}:
            taken[name] = code
    assert taken == {}


PUBLIC_STORY = """
from django.contrib.auth.hashers import make_password
from django.core.management import call_command
call_command("check", deploy=True, fail_level="WARNING")
print(make_password("correct horse").partition("$")[0])
"""


def test_a_public_server_passes_the_deployment_checks_and_hashes_with_argon2(
    tmp_path: Path,
) -> None:
    """With the settings of https, not of the tests."""
    environment = os.environ | {
        "GAMBREL_VAR": str(tmp_path),
        "GAMBREL_PUBLIC": "1",
        "ALLOWED_HOSTS": "course.example.org",
        "DEBUG": "0",
        "DATABASE_URL": "",
    }
    ran = subprocess.run(
        [sys.executable, "manage.py", "shell", "-v0", "-c", PUBLIC_STORY],
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    assert ran.stdout.split()[-1] == "argon2"


def test_a_request_of_gigabytes_is_refused_before_it_is_read(client: Client) -> None:
    """By the length that it announces; a length that is none is refused too."""
    for length in (str(5 * 1024**3), "-1", "many"):
        answer = client.generic("POST", "/sign-in/", b"", CONTENT_LENGTH=length)
        assert answer.status_code == 413
        assert "larger than 64 MB. Send a smaller file." in answer.content.decode()


# What a browser never sends and an attacker may.
VALUES = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        ["", "0", "-1", "1e309", "NaN", "9" * 400, "\x00", "../../etc", "2026-02-30", "[]", "{}",
         "null", "%00", HOSTILE, "2999-01-01T99:99", "10:61", "\uff11", str(uuid.UUID(int=0))]
    ),
)  # fmt: skip
# What no form declares and views read all the same.
LOOSE = ["next", "client_id", "at", "page", "number", "key", "since", "version", "q"]


def names() -> list[str]:
    """Every field of every form of the site, and a few loose ones."""
    list(whole_site.pages())  # loads the views, and with them the forms
    forms = every_kind(BaseForm)
    return sorted({*LOOSE, *(name for form in forms for name in getattr(form, "base_fields", ()))})


def every_kind(kind: type[BaseForm]) -> Iterator[type[BaseForm]]:
    """The forms that are made from that one, near or far."""
    for form in kind.__subclasses__():
        yield form
        yield from every_kind(form)


# More by hand: GAMBREL_FUZZ=2000.
EXAMPLES = int(os.environ.get("GAMBREL_FUZZ", "20"))


class EveryPageTakesAnything(TestCase):
    """No value, however strange, makes a page fail."""

    site: Site
    user: User
    names: list[str]

    @classmethod
    def setUpTestData(cls) -> None:
        cls.site = whole_site.build()
        cls.user = cast.make_organizer()
        cls.names = names()

    @settings(
        max_examples=EXAMPLES,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    @given(data=st.data())
    def test_no_query_body_or_part_of_an_address_makes_a_page_fail(
        self, data: st.DataObject
    ) -> None:
        """Four pages an example, by a method of chance."""
        client = cast.client_of(self.user)
        client.raise_request_exception = False
        every = [name for name, _, _ in whole_site.pages() if name != "sign-out"]
        for name in data.draw(st.lists(st.sampled_from(every), min_size=4, max_size=4)):
            fields = data.draw(st.dictionaries(st.sampled_from(self.names), VALUES, max_size=12))
            url = data.draw(self.addresses(name))
            method = data.draw(st.sampled_from(["get", "post", "post", "post", "put"]))
            with transaction.atomic():
                answer = self.ask(client, method, url, fields)
                transaction.set_rollback(True)
            assert answer.status_code < 500, (name, method, url, fields)

    def addresses(self, name: str) -> st.SearchStrategy[str]:
        """The page's own address, or one whose numbers are of nobody."""
        own = self.site.address(name)
        strange = re.sub(r"/\d+/", "/99999999999999999999/", own)
        return st.sampled_from([own, own, strange])

    def ask(
        self, client: Client, method: str, url: str, fields: dict[str, str]
    ) -> HttpResponseBase:
        send = client.get if method == "get" else client.post
        answer = send(url, fields) if method in {"get", "post"} else client.generic(method, url)
        answer.close()
        return answer
