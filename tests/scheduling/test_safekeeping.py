"""Backups: made while others write, read back, restored row for row, refused when damaged."""

from __future__ import annotations

import os
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import zipfile
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import Client
from django.urls import reverse
from hypothesis import given
from hypothesis import strategies as st

from scheduling import backup_rota, safekeeping
from scheduling.models import Placement
from tests import servers
from tests.build import (
    NOW,
    make_dip,
    make_entry,
    make_household,
    make_link,
    make_ownership,
    make_placement,
    make_workshop,
)
from workshops import backup_files
from workshops.models import Household, Workshop

ROOT = Path(__file__).resolve().parents[2]
HOSTILE = 'Ødegård "Quote" \u202eRTL 🐖\n\x1b[0m =1+1'


@pytest.fixture
def course(transactional_db: None) -> Workshop:
    """Rows of every app, with what a careless copy would bend: times, decimals, odd names."""
    make_household(name=HOSTILE[:80])
    placement = make_placement()
    make_link()
    make_entry(make_dip())
    make_ownership()
    return placement.enrolment.workshop


@pytest.fixture
def backup(course: Workshop, tmp_path: Path) -> Path:
    """One of that course."""
    return safekeeping.back_up(tmp_path / "backups", now=NOW)


def manage(folder: Path, *words: str, url: str = "") -> subprocess.CompletedProcess[str]:
    """A command of another installation, whose data is in ``folder`` or at ``url``."""
    folder.mkdir(exist_ok=True)
    environment = os.environ | {"GAMBREL_VAR": str(folder), "DATABASE_URL": url}
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip


def rows_here() -> dict[str, list[tuple[Any, ...]]]:
    """Every row as the database itself gives it, by table."""
    found = {}
    with connection.cursor() as cursor:
        for table in sorted(connection.introspection.table_names()):
            if table != "django_migrations":  # when each was applied differs, as it should
                cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)} ORDER BY 1")
                found[table] = cursor.fetchall()
    return found


def rows_of(file: Path) -> dict[str, list[tuple[Any, ...]]]:
    """The same of a SQLite file, read without Django: what is stored, not what it stands for."""
    with sqlite3.connect(file) as database:
        tables = database.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
        return {
            table: database.execute(f'SELECT * FROM "{table}" ORDER BY 1').fetchall()
            for (table,) in tables
            if table not in {"django_migrations", "sqlite_sequence"}
        }


@pytest.mark.skipif(connection.vendor != "sqlite", reason="compares two SQLite files")
def test_a_backup_restored_on_another_machine_has_every_row_as_it_was(
    backup: Path, tmp_path: Path
) -> None:
    """Into an empty folder; compared column by column with what SQLite itself holds here."""
    ran = manage(tmp_path / "other", "restore", str(backup))
    assert ran.returncode == 0, ran.stderr
    assert " private links were made with another secret." in ran.stdout
    with sqlite3.connect(tmp_path / "here.sqlite3") as copy:
        connection.connection.backup(copy)
    here = rows_of(tmp_path / "here.sqlite3")
    assert rows_of(tmp_path / "other" / "gambrel.sqlite3") == here
    assert sum(len(rows) for rows in here.values()) > 20


def test_a_backup_moves_to_postgresql_and_back_without_a_change(
    backup: Path, tmp_path: Path, postgresql_server: str
) -> None:
    """From here to a server, from the server to a file: each table has the same hash."""
    with servers.database_on(postgresql_server) as url:
        ran = manage(tmp_path / "server", "restore", str(backup), url=url)
        assert ran.returncode == 0, ran.stderr
        ran = manage(tmp_path / "server", "backup", url=url)
        assert ran.returncode == 0, ran.stderr
    (again,) = (tmp_path / "server" / "backups").glob("*.zip")
    assert safekeeping.verify(again).members == safekeeping.verify(backup).members


def test_a_restore_puts_back_what_was_changed_since_and_keeps_numbering_new_rows(
    backup: Path,
) -> None:
    """Changed, added and deleted rows alike; the next new row gets a number of its own."""
    before = rows_here()
    Household.objects.filter(name__startswith="Ødegård").update(name="Someone else")
    make_household(name="Came later")
    Placement.objects.all().delete()
    safekeeping.restore(backup, replace=True)
    assert rows_here() == before
    make_household(name="The next one")


def test_a_restore_over_a_course_must_be_asked_for(backup: Path) -> None:
    """The refusal names the way; nothing is changed."""
    before = rows_here()
    with pytest.raises(safekeeping.NotEmpty, match=r"say --replace .* or use an empty data folder"):
        safekeeping.restore(backup)
    assert rows_here() == before


def test_what_a_restore_replaces_is_backed_up_first(
    course: Workshop, backup: Path, settings: Any, tmp_path: Path
) -> None:
    """The command says where."""
    settings.BACKUPS = tmp_path / "kept"
    Workshop.objects.filter(pk=course.pk).update(name="Renamed since")
    said = StringIO()
    call_command("restore", str(backup), "--replace", stdout=said)
    assert "What was there is in" in said.getvalue()
    (kept,) = (tmp_path / "kept").glob("*.zip")
    safekeeping.restore(kept, replace=True)
    assert Workshop.objects.get(pk=course.pk).name == "Renamed since"


def test_a_backup_sees_one_moment_while_others_write(course: Workshop, tmp_path: Path) -> None:
    """A row committed after the first table was read is in none of the later ones."""
    with safekeeping._frozen() as frozen:
        assert Household.objects.using(frozen.alias).exists()
        if connection.vendor == "postgresql":  # SQLite in memory cannot read beside a writer
            make_household(name="Written meanwhile")
        names = Household.objects.using(frozen.alias).values_list("name", flat=True)
        assert "Written meanwhile" not in names


@pytest.mark.parametrize("harm", ["cut", "flip", "row", "manifest", "text", "gone"])
def test_a_damaged_backup_is_refused_and_changes_nothing(
    harm: str, backup: Path, tmp_path: Path
) -> None:
    """Cut short, a flipped bit, a row edited by hand, a changed manifest, no ZIP, no file."""
    file = harmed(backup, harm, tmp_path / "harmed.zip")
    before = rows_here()
    with pytest.raises(safekeeping.SafekeepingError) as refusal:
        safekeeping.restore(file, replace=True)
    assert rows_here() == before
    words = "There is no file" if harm == "gone" else "harmed.zip is damaged"
    assert str(refusal.value).startswith(words)


def harmed(backup: Path, harm: str, file: Path) -> Path:
    """A copy with one fault."""
    content = bytearray(backup.read_bytes())
    if harm == "cut":
        content = content[: len(content) // 2]
    if harm == "flip":
        content[middle_of_the_largest_table(backup)] ^= 0x10
    if harm == "text":
        content = bytearray(b"a letter, not a backup")
    if harm in {"cut", "flip", "text"}:
        file.write_bytes(content)
    if harm in {"row", "manifest"}:
        rewrite(backup, file, harm)
    return file


def middle_of_the_largest_table(backup: Path) -> int:
    """Where its packed rows lie in the file; a bit of a ZIP's own remarks may not matter."""
    with zipfile.ZipFile(backup) as archive:
        largest = max(archive.infolist(), key=lambda member: member.compress_size)
    # A member's local header is 30 bytes and its name (APPNOTE 6.3, section 4.3.7).
    return largest.header_offset + 30 + len(largest.filename) + largest.compress_size // 2


def rewrite(backup: Path, file: Path, harm: str) -> None:
    """A sound ZIP with one word changed."""
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(file, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if harm == "row" and name == "tables/workshops_household.jsonl":
                content = content.replace(b"Quote", b"Quoth")
            if harm == "manifest" and name == safekeeping.MANIFEST:
                content = content.replace(b'"rows": 1', b'"rows": 2', 1)
            new.writestr(name, content)


@given(position=st.floats(0, 1, exclude_max=True), bit=st.integers(0, 7))
def test_no_flipped_bit_of_the_rows_goes_unseen(position: float, bit: int) -> None:
    """Any bit of the stored rows; what is outside them (a ZIP's own remarks) may not matter."""
    whole = sample_backup()
    content = bytearray(whole.read_bytes())
    content[int(position * len(content))] ^= 1 << bit
    file = whole.with_name("flipped.zip")
    file.write_bytes(content)
    try:
        manifest = safekeeping.verify(file)
    except safekeeping.SafekeepingError:
        return
    assert manifest == safekeeping.verify(whole)


def sample_backup() -> Path:
    """A small file in a backup's form, made once."""
    folder = Path(tempfile.gettempdir()) / f"gambrel-sample-{os.getpid()}"
    folder.mkdir(exist_ok=True)
    file = folder / "sample.zip"
    if not file.exists():
        line = b'{"id":1,"name":"Larkhollow"}\n'
        manifest = safekeeping.Manifest(
            made_at=NOW.isoformat(),
            version="0",
            leaves=(("workshops", "0001"),),
            members=(
                safekeeping.Member(table="t", model="a.T", rows=1, sha256=sha256(line).hexdigest()),
            ),
        )
        with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("tables/t.jsonl", line)
            archive.writestr(safekeeping.MANIFEST, manifest.as_json())
    return file


def test_a_backup_of_a_later_release_is_refused_by_name(backup: Path, tmp_path: Path) -> None:
    """Its migrations are unknown here."""
    manifest = safekeeping.verify(backup)
    later = safekeeping.Manifest(
        made_at=manifest.made_at,
        version="9.0.0",
        leaves=(*manifest.leaves, ("workshops", "9999_flying_pigs")),
        members=manifest.members,
    )
    file = tmp_path / "later.zip"
    with zipfile.ZipFile(backup) as old, zipfile.ZipFile(file, "w") as new:
        for name in old.namelist():
            is_manifest = name == safekeeping.MANIFEST
            new.writestr(name, later.as_json() if is_manifest else old.read(name))
    with pytest.raises(safekeeping.UnknownBackup, match=r"made by a later Gambrel \(9\.0\.0\)"):
        safekeeping.restore(file, replace=True)


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    """And no half file is left."""
    (tmp_path / "stick").write_text("a file where the folder should be")
    with pytest.raises(CommandError, match="No backup was made"):
        call_command("backup", str(tmp_path / "stick"))


def kept_at(*ages_days: float) -> list[backup_files.Kept]:
    """Backups of these ages."""
    return [
        backup_files.Kept(file=Path(f"{age}"), made_at=NOW - timedelta(days=age))
        for age in ages_days
    ]


def test_a_year_of_daily_backups_thins_to_days_weeks_and_months() -> None:
    """The newest always stays, and so does one of each of the last twelve months."""
    backups = kept_at(*range(400))
    gone = set(backup_rota.to_delete(backups))
    stay = [kept for kept in backups if kept.file not in gone]
    assert stay[0].made_at == NOW
    assert len(stay) <= backup_rota.DAYS + backup_rota.WEEKS + backup_rota.MONTHS
    assert {(k.made_at.year, k.made_at.month) for k in stay} >= {
        ((NOW - timedelta(days=30 * n)).year, (NOW - timedelta(days=30 * n)).month)
        for n in range(11)
    }


def test_a_laptop_that_slept_a_year_keeps_its_last_week_of_backups() -> None:
    """Places are for backups that exist, not for days that passed."""
    assert backup_rota.to_delete(kept_at(*range(400, 407))) == []


@pytest.mark.django_db(transaction=True)
def test_the_daily_backup_is_made_when_due_and_not_again(tmp_path: Path) -> None:
    """Due is an age, so a laptop that is off at night still has one a day."""
    make_workshop()
    now = datetime(2031, 1, 5, 9, tzinfo=UTC)
    first = backup_rota.back_up_if_due(tmp_path, now=now)
    assert first is not None
    assert safekeeping.verify(first).row_count > 0
    assert backup_rota.back_up_if_due(tmp_path, now=now + timedelta(hours=2)) is None
    assert backup_rota.back_up_if_due(tmp_path, now=now + timedelta(hours=21)) is not None
    # The clock was set back a year: the newest file is in the future, and one is due all the same.
    assert backup_rota.is_due(tmp_path, now=now - timedelta(days=365))


@pytest.mark.django_db(transaction=True)
def test_the_organizer_backs_up_and_carries_a_copy_away(
    organizer_client: Client, lead_client: Client, settings: Any, tmp_path: Path
) -> None:
    """The page says how old the last one is; nobody else gets a file that holds everything."""
    settings.BACKUPS = tmp_path
    page = organizer_client.get(reverse("backups")).content.decode()
    assert "There is no backup yet." in page
    page = organizer_client.post(reverse("back-up"), follow=True).content.decode()
    assert "read back and whole" in page
    (kept,) = backup_files.in_folder(tmp_path)
    url = reverse("backup", args=[kept.name])
    assert url in page
    answer = organizer_client.get(url)
    assert b"".join(answer.streaming_content) == kept.file.read_bytes()  # type: ignore[attr-defined]
    assert answer["Content-Disposition"] == f'attachment; filename="{kept.name}"'
    assert organizer_client.get(reverse("backup", args=["secret-key"])).status_code == 404
    for name, args in (("backups", []), ("backup", [kept.name])):
        assert lead_client.get(reverse(name, args=args)).status_code == 403
    old = kept.file.with_name("gambrel-2030-01-01T000000Z.zip")
    kept.file.rename(old)
    later = datetime(2030, 1, 5, tzinfo=UTC)
    assert backup_files.warning(tmp_path, now=later).startswith("The last backup is 4 days old")


@pytest.mark.django_db(transaction=True)
def test_check_data_names_a_backup_that_is_not_whole(tmp_path: Path) -> None:
    """The database is said to be sound, and each file is read from end to end."""
    make_workshop()
    whole = safekeeping.back_up(tmp_path, now=NOW)
    bad = tmp_path / "gambrel-2030-01-01T000000Z.zip"
    shutil.copy(whole, bad)
    with bad.open("r+b") as file:
        file.truncate(bad.stat().st_size - 40)
    said = StringIO()
    with pytest.raises(CommandError, match="1 of 3 are not sound"):
        call_command("check_data", str(tmp_path), stdout=said)
    assert "was checked: no fault" in said.getvalue()
    assert f"{whole.name}: whole" in said.getvalue()
    assert f"{bad.name} is damaged" in said.getvalue()
