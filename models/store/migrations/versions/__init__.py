"""One step of the schema a file, each named for what it brings."""
