"""The forms of this app, one module a page."""
