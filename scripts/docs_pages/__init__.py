"""The generated pages of ``docs/``, one module a page.

What they show is imported inside the page functions, so that a part that does not load spoils its own page
only.
"""
