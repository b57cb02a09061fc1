"""Rules of the trade, one module a craft: heat, scald, burns, handling, weather, chill, cure.

Pure: the standard library, numeric libraries and siblings; never Django, an app, or the planner.
SI inside, frozen dataclasses in and out, no clock, no files, no globals. Every table and constant
carries a ``Source`` and how far to trust it. Read ``sources.py``, ``verdicts.py`` and
``measures.py`` first, then the craft you need. For food: ``findings.py``, ``temperature_log.py``.
"""
