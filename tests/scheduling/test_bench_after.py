"""The figures of what comes after the kill can be printed; none of them is a test of speed."""

from io import StringIO

from django.core.management import call_command


def test_the_figures_are_printed_with_agreement_and_odds() -> None:
    out = StringIO()
    call_command("bench", "after", "chill", "menu", stdout=out)
    said = out.getvalue()
    assert "K apart after the first hour" in said
    assert "The lead decides" in said
    assert "0 left without one" in said
    assert "packages among" not in said
