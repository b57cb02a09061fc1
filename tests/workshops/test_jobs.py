"""Background work: a row first, a message second, and nothing lost with a worker."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.conf import settings
from django.db import OperationalError
from django.utils import timezone

from tests.build import make_workshop
from workshops import jobs
from workshops.models import Job, JobState

TASK = "workshops.tasks.sweep_jobs"


def ask(key: str = "one") -> Job:
    return jobs.submit(TASK, workshop=make_workshop(), title="Placing crews", key=key)


@pytest.mark.django_db
def test_a_job_is_a_row_before_anything_else() -> None:
    """The row is there, queued, even if no message was ever sent."""
    job = ask()
    assert (job.state, job.attempts, job.is_running) == (JobState.QUEUED, 0, True)


@pytest.mark.django_db
def test_asking_twice_while_the_first_is_live_is_one_job() -> None:
    """A button pressed twice does the work once."""
    assert ask("same") == ask("same")
    assert Job.objects.count() == 1


@pytest.mark.django_db
def test_asking_again_after_the_end_is_a_new_job() -> None:
    """An ended job does not block the next."""
    first = ask("same")
    Job.objects.update(state=JobState.DONE)
    assert ask("same") != first


@pytest.mark.django_db(transaction=True)
def test_a_job_runs_once_and_keeps_its_result() -> None:
    """A second message for the same row finds it taken and does nothing."""
    job, runs = ask(), []

    def work(row: Job, report: jobs.Report) -> dict[str, object]:
        report(40, "half way")
        runs.append(Job.objects.get(pk=row.pk).percent)
        return {"sheet": 7}

    jobs.run(str(job.pk), work)
    jobs.run(str(job.pk), work)
    job.refresh_from_db()
    assert runs == [40]
    assert (job.state, job.percent, job.result, job.attempts) == (
        JobState.DONE,
        100,
        {"sheet": 7},
        1,
    )


@pytest.mark.django_db(transaction=True)
def test_a_refusal_is_kept_in_words() -> None:
    """What the person who asked should know stands in the row."""
    job = ask()

    def refuse(row: Job, report: jobs.Report) -> dict[str, object]:
        raise jobs.JobError("The chain needs 4; 3 are left.")

    jobs.run(str(job.pk), refuse)
    job.refresh_from_db()
    assert (job.state, job.message) == (JobState.FAILED, "The chain needs 4; 3 are left.")


@pytest.mark.django_db(transaction=True)
def test_a_fault_fails_the_job_without_showing_its_inside() -> None:
    """An unexpected error is logged; the page says something plain."""
    job = ask()

    def break_down(row: Job, report: jobs.Report) -> dict[str, object]:
        raise ZeroDivisionError("secret detail")

    jobs.run(str(job.pk), break_down)
    job.refresh_from_db()
    assert job.state == JobState.FAILED
    assert "secret" not in job.message


@pytest.mark.django_db(transaction=True)
def test_a_job_whose_database_went_away_is_tried_again() -> None:
    """Its worker lives, so nobody need ask anew: after the lease it is done."""
    job = ask()

    def cut_off(row: Job, report: jobs.Report) -> dict[str, object]:
        raise OperationalError("the connection is closed")

    jobs.run(str(job.pk), cut_off)
    assert Job.objects.get(pk=job.pk).state == JobState.RUNNING
    jobs.sweep(now=timezone.now() + timedelta(seconds=settings.JOB_LEASE_S + 1))
    jobs.run(str(job.pk), lambda row, report: {"sheet": 7})
    job.refresh_from_db()
    assert (job.state, job.attempts, job.result) == (JobState.DONE, 2, {"sheet": 7})


@pytest.mark.django_db(transaction=True)
def test_a_job_of_a_dead_worker_is_taken_up_again() -> None:
    """When the beat stops for longer than the lease, the sweep gives the job to another worker."""
    job = ask()
    now = timezone.now()
    Job.objects.update(
        state=JobState.RUNNING,
        attempts=1,
        heartbeat_at=now - timedelta(seconds=settings.JOB_LEASE_S + 1),
        created_at=now - timedelta(minutes=5),
    )
    assert jobs.sweep(now=now) == 1
    jobs.run(str(job.pk), lambda row, report: {})
    job.refresh_from_db()
    assert (job.state, job.attempts) == (JobState.DONE, 2)


@pytest.mark.django_db
def test_a_job_that_beats_is_left_alone() -> None:
    """A long solve is not taken away from a living worker."""
    ask()
    now = timezone.now()
    Job.objects.update(state=JobState.RUNNING, attempts=1, heartbeat_at=now)
    assert jobs.sweep(now=now) == 0
    assert Job.objects.get().state == JobState.RUNNING


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("set_by", [timedelta(days=-1), timedelta(days=1)])
def test_no_job_waits_for_a_clock_that_was_set(set_by: timedelta) -> None:
    """A queued job and one whose worker died are woken at once, whichever way the clock went."""
    queued, running = ask(key="a"), ask(key="b")
    now = timezone.now()
    Job.objects.filter(pk=running.pk).update(state=JobState.RUNNING, attempts=1, heartbeat_at=now)
    assert jobs.sweep(now=now + set_by) == 2
    for job in (queued, running):
        jobs.run(str(job.pk), lambda row, report: {"done": True})
        job.refresh_from_db()
        assert job.state == JobState.DONE


@pytest.mark.django_db
def test_after_three_dead_workers_the_job_fails_in_words() -> None:
    """Something that kills its worker each time is not tried for ever."""
    ask()
    now = timezone.now()
    Job.objects.update(state=JobState.RUNNING, attempts=3, heartbeat_at=now - timedelta(minutes=5))
    jobs.sweep(now=now)
    job = Job.objects.get()
    assert job.state == JobState.FAILED
    assert "3 times" in job.message


@pytest.mark.django_db(transaction=True)
def test_a_worker_that_lost_its_claim_writes_nothing() -> None:
    """A slow first worker does not end the job that a second one took over."""
    job = ask()

    def lose(row: Job, report: jobs.Report) -> dict[str, object]:
        Job.objects.filter(pk=row.pk).update(claim=None, state=JobState.QUEUED)
        report(90, "too late")
        return {"late": True}

    jobs.run(str(job.pk), lose)
    job.refresh_from_db()
    assert (job.state, job.result, job.percent) == (JobState.QUEUED, {}, 0)
