"""The yard's memory: what was loaded and published, by whom, when and why.

SQLite in one file, or PostgreSQL by address. Nothing that was written is ever
overwritten: each change is a new version with its entry in the log. Only commands that
use the store import it, as it needs a database library.
"""
