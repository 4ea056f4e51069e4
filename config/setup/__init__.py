"""Set-up with nothing but the system's own Python: see `make setup`, `make run`, `make test`."""
