"""People and animals: workshops, days, households, attendees, enrolments, staff, animals, links.

The lowest app: imports nothing above it. Read ``models/`` first, then ``access.py``.
"""
