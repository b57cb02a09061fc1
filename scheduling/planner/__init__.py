"""Planning, pure Python on CP-SAT: when things happen, and whose hands do them.

Two problems, in words. *Timetable*: every hog passes its stages in order, some gaps may not be
too long (a wet carcass must not wait), stations hold so many carcasses, hands and instructors
are few, light fails in the afternoon: when does each step start? *Rotation*: the times are
known; who takes which place at each step, so that nobody does what they must not, everyone tries
everything, and the work is even?

Whole minutes, seeded, no clock. May import the standard library, numpy, OR-Tools and siblings;
never Django, an app, or ``stations.trade``. Read in this order: ``problem.py``, ``answer.py``;
then ``timetable_rules.py``, ``timetable.py``, ``check_timetable.py``; then
``rotation_problem.py``, ``rule.py``, ``rules.py``, ``rotation.py``, ``check_rotation.py``; last
``replan.py`` and ``conflicts.py``. Running late is in ``replan_times.py`` and ``push_back.py``, the
odds in ``simulate.py``, what limits a day in ``limits.py``. The models are told in
docs/timetable.md and docs/rotation-model.md. The division of packages stands apart:
``shares_problem.py``, ``shares.py``, ``check_shares.py``, ``shares_words.py``.
"""
