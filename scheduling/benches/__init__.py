"""Speed and quality figures, printed, never tested: one module a subject.

Each module has ``run(write, words)``: ``write`` prints a line, ``words`` are the words after the
subject on the command line. A module may import anything an app may, the pure packages first.
Figures are ratios where two things are compared, and say on how many cores they were taken.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

Write = Callable[[str], object]
Run = Callable[[Write, Sequence[str]], None]
