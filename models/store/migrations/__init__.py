"""How an earlier store becomes one of today; see `models.store.upgrade`."""
