"""The store: append-only entries, station days, file receipts and kept results in one SQLite file.

Importing this package loads SQLAlchemy, so the command line imports it inside the verbs that need it.
"""

from springwalk.store.backup import backup, restore
from springwalk.store.core import Reading, Store, Writing, open_store
from springwalk.store.entry import Entry

__all__ = ["Entry", "Reading", "Store", "Writing", "backup", "open_store", "restore"]
